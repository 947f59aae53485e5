/** What holds for every new ticket of the shop. What is null is left to the catalog. */
import type { Ticket } from "../../engine/ticket/schema.js";
import type { Catalog, Release } from "../../engine/catalog/schema.js";
import { isCurrency } from "../../engine/ticket/currency.js";
import type { Issue } from "../../engine/weighing.js";
import { database, STRICT } from "./database.js";

export interface Shop {
  /** ISO 4217, such as EUR; null: money is shown as a bare figure */
  currency: string | null;
  labourPerHour: number | null;
  /** what a comeback costs the shop */
  comeback: number | null;
  /** starts a day at the owner's */
  perDay: number | null;
  /** days in which a comeback counts */
  days: number | null;
  /** the chance of a comeback that the shop will take */
  limit: number | null;
}

export const NO_SHOP: Shop = {
  currency: null,
  labourPerHour: null,
  comeback: null,
  perDay: null,
  days: null,
  limit: null,
};

export type ShopFigure = Exclude<keyof Shop, "currency">;

/** The least and the most that each figure may be: what the ticket format takes, and what is still a price. */
export const RANGES: Record<ShopFigure, [least: number, most: number]> = {
  labourPerHour: [0, 1e6],
  comeback: [0, 1e6],
  perDay: [0, 1000],
  days: [1, 10000],
  limit: [0, 1],
};

/** Everything that is wrong with settings from a form or a file. */
export function shopIssues(data: unknown): Issue[] {
  if (typeof data !== "object" || data === null) return [issue("shop", data, "an object")];
  const shop = data as Record<string, unknown>;
  const unknown = Object.keys(shop)
    .filter((key) => !(key in NO_SHOP))
    .map((key) => issue(`shop.${key}`, "a key that is not known here", "only the keys of the format"));
  const figures = Object.entries(RANGES).flatMap(([key, [least, most]]) => {
    const value = shop[key] ?? null;
    if (value === null || (typeof value === "number" && value >= least && value <= most)) return [];
    return [issue(`shop.${key}`, value, `a number from ${least} to ${most}`)];
  });
  const currency = shop["currency"] ?? null;
  const isCode = currency === null || isCurrency(currency);
  return [
    ...unknown,
    ...figures,
    ...(isCode ? [] : [issue("shop.currency", currency, "a code of three letters")]),
  ];
}

function issue(path: string, value: unknown, expected: string): Issue {
  const found = typeof value === "string" ? value : JSON.stringify(value);
  return { path, found, expected, message: `${path}: found ${found}, expected ${expected}` };
}

const KEY = "settings";

export const readShop = async (): Promise<Shop> => ({
  ...NO_SHOP,
  ...((await (await database()).get("shop", KEY)) as Partial<Shop> | undefined),
});

export async function putShop(shop: Shop): Promise<void> {
  const tx = (await database()).transaction("shop", "readwrite", STRICT);
  await tx.store.put(shop, KEY);
  await tx.done;
}

/** What a new ticket takes from the shop. */
export function shopTerms(
  { labourPerHour, comeback, perDay, days, limit }: Shop,
  catalog: Catalog,
): Pick<Ticket, "labourPerHour" | "release" | "terms"> {
  const release = {
    ...(perDay !== null && { perDay: spread(perDay, catalog.release?.perDay) }),
    ...(days !== null && { days }),
    ...(limit !== null && { limit }),
  };
  return {
    ...(labourPerHour !== null && { labourPerHour }),
    ...(comeback !== null && { terms: { comeback } }),
    ...(Object.keys(release).length > 0 && { release }),
  };
}

/** So many starts a day, cold and warm in the shares that the catalog gives them. */
function spread(perDay: number, usual: Release["perDay"]): NonNullable<Release["perDay"]> {
  if (!Array.isArray(usual)) return perDay;
  const whole = usual.reduce((sum, one) => sum + one.perDay, 0);
  return whole > 0 ? usual.map((one) => ({ ...one, perDay: (perDay * one.perDay) / whole })) : perDay;
}
