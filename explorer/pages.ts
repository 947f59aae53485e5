/** The pages beside the tickets: each is fetched when somebody goes there, at `#/` and its key. */
import type { Component } from "svelte";
import type { Shelf } from "./list/shelf.svelte.js";

/** What a page is given: the shelf, and what follows the page's name in the address. */
export interface PageProps {
  shelf: Shelf;
  rest: string[];
}

interface Page {
  title: string;
  /** of one ticket, which its address names: the list does not lead there */
  ofTicket?: true;
  load: () => Promise<{ default: Component<PageProps> }>;
}

export const PAGES: Record<string, Page> = {
  owner: { title: "For the owner", ofTicket: true, load: () => import("./papers/OwnerPage.svelte") },
  warranty: { title: "For the warranty", ofTicket: true, load: () => import("./papers/WarrantyPage.svelte") },
  tuning: { title: "Tuning", load: () => import("./tuning/TuningPage.svelte") },
  lessons: { title: "Lessons", load: () => import("./lessons/LessonsPage.svelte") },
  practice: { title: "Practice bench", load: () => import("./practice/PracticePage.svelte") },
  carry: { title: "From screen to screen", load: () => import("./carry/Carry.svelte") },
  race: { title: "Strategy race", load: () => import("./race/RacePage.svelte") },
  shop: { title: "The shop", load: () => import("./shop/Shop.svelte") },
};

export const isPage = (name: string | undefined): boolean => name !== undefined && Object.hasOwn(PAGES, name);
