/** The names that a worksheet cell knows, for people. */
export const HELP: readonly { name: string; means: string }[] = [
  { name: 'p("standby rail")', means: "the chance that it was a cause, at this place in the record" },
  { name: 'at_work("standby rail")', means: "the chance that it is still at work" },
  { name: "standby_rail", means: "the same as p of it: every cause by its own name, words joined by _" },
  {
    name: "nothing_wrong, unlisted, nothing_at_work",
    means: "the chances of the three that are no listed cause",
  },
  { name: "spent", means: "labour so far, a time: spent to hours" },
  { name: "money", means: "that labour in money" },
  { name: "per_hour", means: "money for an hour" },
  { name: "starts, failed, clean", means: "starts counted so far at this bench, and how they went" },
];
