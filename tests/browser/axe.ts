/** axe over the page as it stands, as an AxeBuilder. */
import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";

/** In the page itself, which has no frames, and without an account of what is in order: a third of the work. */
export const axe = (page: Page): AxeBuilder =>
  new AxeBuilder({ page }).setLegacyMode().options({ resultTypes: ["violations"] });
