/**
 * A practice machine: dealt from a seed, a catalog's version, a difficulty and a theme, the same for everybody who is given
 * the same code. The hidden truth is drawn from the model's own prior, narrowed to what the difficulty and the theme allow.
 */
import { numberOf } from "../catalog/figures.js";
import type { Catalog } from "../catalog/schema.js";
import { startConditions } from "../belief/compile.js";
import { exposuresOf, modelOf, type Model } from "../belief/model.js";
import { issue } from "../issue.js";
import { intakeSetup } from "../ticket/setup.js";
import type { Ticket } from "../ticket/schema.js";
import type { Issue } from "../weighing.js";
import type { Arrival } from "./bench.js";
import {
  ANY,
  DIFFICULTIES,
  isDifficulty,
  isThemed,
  type Difficulty,
  type DifficultyId,
} from "./difficulties.js";
import { intakeTicket } from "./intake.js";
import { PRICES } from "./prices.js";
import { AS_IT_CAME } from "./rules.js";
import { customersUse, shopOf } from "./shop.js";
import { seedOf, streamOf, type Uniform } from "./streams.js";
import { drawRate, drawTruth, type Truth } from "./truth.js";
import { arrivalOf } from "./worlds.js";

export interface Deal {
  /** id and version of a catalog */
  catalog: string;
  version: string;
  difficulty: DifficultyId;
  /** a group of causes, or `any` */
  theme: string;
  seed: number;
}

const SEED = /^\d{1,15}$/;
/** The largest number that a machine may have. */
export const MOST_SEED = 999_999_999_999_999;

/** Faults at once that a machine may have. */
const TRULY = 2;
/** Draws of a rate, to get one that the difficulty asks for; the last is taken as it is. */
const DRAWS = 500;

/** The code as it stands in a link. */
export const codeOf = ({ catalog, version, difficulty, theme, seed }: Deal): string =>
  [catalog, version, difficulty, theme, String(seed)].map(encodeURIComponent).join("/");

/** A code's parts, or what is wrong with them. @param known  the catalogs there are */
export function dealOf(
  parts: readonly string[],
  known: readonly Catalog[],
): { deal: Deal; catalog: Catalog } | { issues: Issue[] } {
  const [id = "", version = "", difficulty = "", theme = "", seed = ""] = parts;
  const found = (text: string) => (text === "" ? "nothing" : JSON.stringify(text));
  const issues: Issue[] = [];
  const catalog = known.find((c) => c.id === id);
  if (!catalog)
    issues.push(
      issue("catalog", found(id), `one of ${known.map((c) => c.id).join(", ") || "none there are"}`),
    );
  else if (catalog.version !== version)
    issues.push(issue("version", found(version), `"${catalog.version}", the version of ${id} that is here`));
  if (!isDifficulty(difficulty))
    issues.push(issue("difficulty", found(difficulty), `one of ${Object.keys(DIFFICULTIES).join(", ")}`));
  if (catalog && !themesOf(catalog).includes(theme))
    issues.push(issue("theme", found(theme), `one of ${themesOf(catalog).join(", ")}`));
  if (!SEED.test(seed)) issues.push(issue("seed", found(seed), "a whole number of at most 15 digits"));
  if (!catalog || issues.length > 0) return { issues };
  return {
    deal: { catalog: id, version, difficulty: difficulty as DifficultyId, theme, seed: Number(seed) },
    catalog,
  };
}

/** The groups of causes that a kind of machine has, and `any`. */
export const themesOf = (catalog: Catalog): string[] => [ANY, ...new Set(catalog.causes.map((c) => c.group))];

/** The deal that a ticket is the record of; null for a real one. */
export function dealOfTicket({ catalog, practice }: Ticket): Deal | null {
  if (!practice || !isDifficulty(practice.difficulty)) return null;
  const { version, difficulty, theme, seed } = practice;
  return { catalog: typeof catalog === "string" ? catalog : catalog.id, version, difficulty, theme, seed };
}

/**
 * The machine brought in, with the owner's word. Its ticket considers one fault at a time, as those of the race do.
 * @throws {RangeError} where no truth is of this difficulty and theme
 */
export function arrivalOfDeal(catalog: Catalog, deal: Deal): Arrival {
  const seed = seedOf(deal.seed, codeOf(deal));
  const shop = shopOf(catalog);
  const terms = { maxCauses: 1, prices: PRICES };
  const drawn = intakeTicket(catalog, shop, `practice-${deal.seed}`, terms, streamOf(seed, "intake"));
  const ticket = { ...drawn, title: `Practice machine ${deal.seed}` };
  const model = modelOf(catalog, { ...ticket, options: { ...ticket.options, maxCauses: TRULY } });
  const truth = narrowedTruth(model, deal, streamOf(seed, "truth"));
  return arrivalOf(truth, modelOf(catalog, ticket), shop, seed);
}

/** The ticket that lies on the trainee's bench. */
export function ticketOfDeal(catalog: Catalog, deal: Deal, by: string): Ticket {
  const { ticket } = arrivalOfDeal(catalog, deal);
  const { version, difficulty, theme, seed } = deal;
  const { considers } = DIFFICULTIES[difficulty];
  return {
    ...ticket,
    options: { ...ticket.options, maxCauses: considers },
    entries: ticket.entries.map((entry) =>
      entry.kind === "change" ? { ...entry, note: AS_IT_CAME } : entry,
    ),
    practice: { version, difficulty, theme, seed, ...(by !== "" && { by }) },
  };
}

/** Drawn from the prior among the sets that are allowed, each in proportion to its prior weight. */
function narrowedTruth(model: Model, deal: Deal, uniform: Uniform): Truth {
  const { sets, prior, causes } = model;
  const difficulty: Difficulty = DIFFICULTIES[deal.difficulty];
  if (deal.difficulty === "open") return drawTruth(model, uniform);
  const spares = new Set(model.ticket.machine.parts.filter((p) => p.spare === true).map((p) => p.id));
  const spare = (i: number) => spares.has(causes[i]!.part ?? "");
  const shows = shownAtHome(model);
  const own = (i: number) => !spare(i) && shows[i]! > 0;
  const contact = (i: number) => mendable(model, i);
  const ofTheme = (list: readonly number[]) =>
    deal.theme === ANY ||
    !isThemed(deal.difficulty) ||
    list.some((i) => own(i) && causes[i]!.group === deal.theme);
  const set = prior.set.map((weight, f) => {
    const list = sets.lists[f]!;
    return difficulty.allows(list, { own, spare, contact }) && ofTheme(list) ? weight : 0;
  });
  if (!set.some((weight) => weight > 0))
    throw new RangeError(
      `theme: found ${deal.theme}, expected a group with causes for a machine of difficulty ${deal.difficulty}`,
    );
  const truth = drawTruth({ ...model, prior: { ...prior, set, unlisted: 0 } }, uniform);
  const rates = truth.causes.map((i) =>
    rateWithin(difficulty.rates, () => drawRate(causes[i]!.rate, uniform)),
  );
  return { ...truth, model, rates, relapse: difficulty.relapse ?? 0 };
}

/** A contact that some repair does more for than touching it. */
function mendable({ catalog, causes }: Model, i: number): boolean {
  const { contact, reseat, template } = causes[i]!;
  const cures = (catalog.repairs ?? []).map(({ clears }) => clears[template]);
  return contact && cures.some((figure) => figure !== undefined && numberOf(figure) > reseat);
}

/** Exposures in the machine as it is used at the owner's: what cannot show there nobody complains of. */
const shownAtHome = (model: Model): Float64Array =>
  exposuresOf(model, intakeSetup(model), startConditions(model, customersUse(model.catalog)));

function rateWithin([low, high]: readonly [number, number], draw: () => number): number {
  let rate = draw();
  for (let k = 1; k < DRAWS && !(rate >= low && rate <= high); k++) rate = draw();
  return rate;
}
