/** How each figure of the ticket page was computed: the formula in words, with the figures that went in. Pure. */
import type {
  Advice,
  CauseView,
  FinishView,
  ReleaseView,
  TestView,
  Weighing,
} from "../../engine/weighing.js";
import { figure, minutes, percent } from "./format.js";

const sum = (figures: readonly number[]) => figures.reduce((total, x) => total + x, 0);
const precise = (p: number) => `${(100 * p).toPrecision(3)} %`;
const deci = (value: number) => `${value < 0 ? "−" : "+"}${Math.abs(value).toFixed(1)} dban`;

/** What it could be. */
export function howSuspects(weighing: Weighing): string[] {
  const leading = [...weighing.causes].sort((x, y) => y.present.p - x.present.p)[0];
  const bits = Math.abs(weighing.evidenceBits).toFixed(1);
  return [
    `Every set of up to ${weighing.maxCauses} causes, “nothing wrong” and “not on the list” has a weight: its chance before the record times the chance of the whole record if it holds. A suspect’s chance is the weight of the sets that hold it, divided by all the weights. The whole record had a chance of 1 in 2 to the power of ${bits}.`,
    ...(leading ? [oddsOf(leading, weighing)] : []),
    `Line: 5 % and 95 % of the same figure when the failure rates are drawn 200 times from what is known of them; the record’s own likelihoods stay. Sets of more causes than ${weighing.maxCauses} are left out; before the record they would have had ${precise(weighing.truncated)}.`,
    "Still at work: the same sum over what is still there after the repairs and is fitted in the machine now.",
  ];
}

/** Prior and ledger add up to the odds now. */
export function oddsOf(cause: CauseView, { entries }: Weighing): string {
  const said = entries.map((entry) => entry.ledger[cause.id] ?? 0);
  const prior = 10 * Math.log10(cause.prior / (1 - cause.prior));
  if (!Number.isFinite(prior) || cause.decibans === null)
    return `${cause.name}: ${precise(cause.present.p)}.`;
  return `${cause.name}: ${precise(cause.prior)} before the record is ${deci(prior)}; the entries add ${deci(sum(said))}, which makes ${deci(cause.decibans)}, that is ${precise(cause.present.p)}. Decibans are ten times the logarithm of the odds: 10 db are ten to one.`;
}

/** A test: minutes, bits, bits a minute. */
export function howTest(test: TestView, advice: Advice): string[] {
  const steps = test.steps.map((step) => `${step.text.replace(/\.$/, "")} ${minutes(step.minutes)}`);
  const starts = test.minutes - sum(test.steps.map((step) => step.minutes));
  const parts = [...steps, ...(starts > 0.005 ? [`the starts themselves ${minutes(starts)}`] : [])];
  const row = test.stopEarly ? " The row ends at its first stop, so this is what is to be expected." : "";
  const doubt = advice.target === "active" ? "what is at work now" : "what the cause was";
  const found =
    test.bitsError > 0
      ? ` It was estimated, give or take ${figure(test.bitsError)}.`
      : test.atLeast
        ? " It was counted by the number of clean starts alone; where it stops can only add to it."
        : "";
  return [
    `Time: ${parts.join(" + ")} = ${minutes(test.minutes)}, from the arrangement that is on the bench now.${row}`,
    `Bits: the doubt about ${doubt} is ${figure(advice.entropy)} bits. How much of it an answer takes away, weighted by how likely each answer is, comes to ${figure(test.bits)}.${found}`,
    `Bits a minute: ${figure(test.bits)} divided by ${minutes(test.minutesWithMoney)}${test.money > 0 ? `, money counted as minutes at the labour rate (${minutes(test.minutesWithMoney - test.minutes)})` : ""}.`,
    "Answers: how likely each is by the present belief, and by Bayes’ rule what the belief would be after it.",
  ];
}

/** What it will cost from here. */
export function howFinish(
  { prices, proof, advice, margin }: FinishView,
  money: (x: number) => string,
): string[] {
  return [
    `A minute of work costs ${money(prices.minute)}, a comeback ${money(prices.comeback)}, giving the machine back unrepaired ${money(prices.giveBack)}.`,
    `Finishing by repairs alone: the repair with the best chance to cure for its cost comes first, proved by ${proof} clean ${proof === 1 ? "start" : "starts"}, then the next, until it is proved or giving it back costs less; what passes and is not cured comes back and is paid for.`,
    `A test is worth the drop in that cost, averaged over its answers, less its own minutes and money. The least total is ${money(advice.cost)}${margin > 0 ? `, ${money(margin)} less than the next best` : ""}.`,
  ];
}

/** Is it fixed? */
export function howFixed({ nothingAtWork, comeback, limit, days }: ReleaseView): string[] {
  return [
    `Nothing at work: the weights of all sets of which nothing is left in the machine, divided by all the weights; “not on the list” is not among them: ${precise(nothingAtWork)}.`,
    `Comeback: the chance of at least one failed start among all that the owner makes in ${figure(days)} days, each suspect with one and the same rate through all of them, averaged over what is known of that rate: ${precise(comeback)}. A healthy machine’s rare stop is no comeback, and new faults are not counted.`,
    `Starts still needed: the fewest clean starts after which, weighed as the record would weigh them, that chance is at most ${percent(limit)}.`,
  ];
}

/** Not looked at yet. */
export const howNotLookedAt = ({ entries }: Weighing): string[] => [
  `A cause stands here while none of the ${entries.length} entries weighs 1 deciban or more for or against it. Share: the chances that it was one of them, added up; two at once count twice.`,
];

/** How intermittent each suspect is. */
export const howRates = (): string[] => [
  "Hill: how likely each rate is, if this is the cause: the catalog’s spread of rates, reweighed by every start of the record that gave it a chance to show. The chance that it shows at every start is stated apart. Dotted: the catalog’s spread, before the record.",
  "Dot: the mean. Line: from 5 % to 95 %. The chance is that of a usual start; a start that exercises it less shows it less often.",
];

/** The evidence ledger. */
export const howLedger = (): string[] => [
  "Weight of an entry: ten times the logarithm of how likely the entry was if the suspect is a cause, divided by how likely it was if not, the record before it given. Before the record and all the weights add up to now.",
];

/** Belief through the record. */
export const howThrough = (): string[] => [
  "Each point is the chance that the suspect was a cause, weighed from the record up to and including that entry.",
];

/** What the next start exercises. */
export const howExposure = (): string[] => [
  "Exercised: the catalog says for each cause how much one start in this setup, under these conditions, gives it the chance to show; × 1 is a usual start. A suspect that shows at a share r of usual starts shows at 1 − (1 − r) to the power of this figure.",
];

/** What if a prior is wrong. */
export const howWhatIf = (factor: number): string[] => [
  `The odds of one prior at a time are multiplied by ${factor} or divided by it, and the same record is weighed again. Listed is what then puts another cause in front, or another test first among the ten that tell most.`,
];
