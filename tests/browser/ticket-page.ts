/** The ticket page as somebody sees it: by role and by visible text. */
import type { Locator, Page } from "playwright-core";

/** Weighing may share two slow cores with everything else. */
const PATIENCE = { timeout: 90_000 };

export class TicketPage {
  readonly record: Locator;
  readonly doNext: Locator;
  readonly couldBe: Locator;
  readonly strip: Locator;

  constructor(protected readonly page: Page) {
    this.record = page.getByRole("region", { name: "Record", exact: true });
    this.doNext = page.getByRole("region", { name: "Do next" });
    this.couldBe = page.getByRole("region", { name: "What it could be" });
    this.strip = page.getByRole("region", { name: "Log a start" });
  }

  title = async (): Promise<string> =>
    (await this.page.getByRole("heading", { level: 1 }).textContent(PATIENCE)) ?? "";

  /** Waits until belief and advice are those of the record as it stands. */
  async settled(): Promise<void> {
    await this.weighed();
    await this.#still(this.doNext);
  }
  /** Waits until the belief is. */
  weighed = (): Promise<void> => this.#still(this.couldBe);

  /** Waits until it is said whether it is fixed. */
  proved = (): Promise<void> => this.#still(this.page.getByRole("region", { name: "Is it fixed?" }));

  #still = (region: Locator): Promise<void> =>
    region.and(this.page.locator("[aria-busy=false]")).waitFor(PATIENCE);

  async press(outcome: string, times: number): Promise<void> {
    const button = this.strip.getByRole("button", { name: new RegExp(`^${outcome}`) });
    for (let n = 0; n < times; n++) await button.click();
  }

  undo = (): Promise<void> => this.strip.getByRole("button", { name: "Undo" }).click();
  redo = (): Promise<void> => this.strip.getByRole("button", { name: "Redo" }).click();

  /** Loads the page again, once it would be left without a question. */
  async reload(): Promise<void> {
    await this.kept();
    await this.page.reload();
  }
  /** Waits until everything is on the disk, what shows no mark included: who leaves the page is asked nothing then. */
  async kept(): Promise<void> {
    const asksNothing = () => window.dispatchEvent(new Event("beforeunload", { cancelable: true }));
    await this.page.waitForFunction(asksNothing, undefined, { ...PATIENCE, polling: 50 });
  }

  /** The newest row of tally marks for an outcome, once it has this many. */
  tally = (outcome: string, n: number): Locator =>
    this.record.getByText(new RegExp(`^\\s*${outcome}\\s+${n}\\s*$`)).last();

  /** Waits until every mark is on the disk. */
  solid = (): Promise<void> => {
    const pending = this.record.getByRole("img", { name: /not saved yet/ });
    return pending.first().waitFor({ state: "detached", ...PATIENCE });
  };

  /** All starts in the record. */
  async starts(): Promise<number> {
    const tallies = await this.record.locator(".tally").allTextContents();
    return tallies.reduce((sum, text) => sum + Number(/\d+/.exec(text)?.[0] ?? 0), 0);
  }

  /** Path of the file that "Save file" hands out. */
  async saved(): Promise<string> {
    const [download] = await Promise.all([
      this.page.waitForEvent("download"),
      this.page.getByRole("button", { name: "Save file" }).click(),
    ]);
    return download.path();
  }
}
