/**
 * What a ticket costs, in one place. Invented, in the currency of the catalog; a shop puts its own in.
 */
export interface Prices {
  /** labour, by the hour; without it the catalog's */
  labourPerHour?: number;
  /** a machine that stops again within the weeks after its release */
  comeback: number;
  /** a machine given back unrepaired, given up because of its price, or not solved in the time there is */
  returned: number;
  /** share of the price that is lost on a part that was bought and goes back to where it came from */
  restocking: number;
  /** the owner will not pay more than this for work and parts together: the ticket ends there */
  budget: number;
  /** more minutes than this nobody gives to one machine: the ticket ends there */
  minutes: number;
  /** starts that are made to get one which a repair needs, before it is made the hard way */
  tries: number;
  /** minutes that the hard way takes: the drive in another machine, the firmware written outside */
  hardWay: number;
  /** customer's use, for comebacks */
  startsPerDay: number;
  days: number;
}

/**
 * A comeback is the whole job once more, at nobody's expense but the shop's (about two and a half hours with what is
 * fitted, 140), and a customer who tells others (60). A returned machine has to be replaced: it is worth 200 more to its
 * owner working than not. Both lie well above what a ticket costs to work properly, so that neither releasing at once
 * nor giving up at once is cheap.
 */
export const PRICES: Prices = {
  comeback: 200,
  returned: 200,
  restocking: 0.3,
  budget: 400,
  minutes: 480,
  tries: 6,
  hardWay: 30,
  startsPerDay: 1,
  days: 30,
};
