/** Every lesson walked through: its figures move with its controls, its questions answer, and it reads on a phone. */
import { readdirSync, readFileSync } from "node:fs";
import { afterAll, describe, expect, test } from "vitest";
import { valuesOf } from "../../engine/practice/lesson/controls.js";
import { Player } from "../../engine/practice/lesson/play.js";
import { choicesOf, isRight } from "../../engine/practice/lesson/questions.js";
import { Lesson } from "../../engine/practice/lesson/schema.js";
import { pieces } from "../../explorer/lessons/words.js";
import { axe } from "./axe.js";
import { openExplorer } from "./explorer.js";
import { Visit } from "./served.js";

const folder = new URL("../../scenarios/lessons/", import.meta.url);
const lessons = readdirSync(folder)
  .filter((name) => name.endsWith(".json"))
  .map((name) => Lesson.parse(JSON.parse(readFileSync(new URL(name, folder), "utf8"))));

const { served, browser } = await openExplorer();
const visit = await Visit.begin(browser, { viewport: { width: 390, height: 844 } });
const { page } = visit;
afterAll(() => {
  expect(visit.errors).toEqual([]);
  expect(visit.strays).toEqual([]);
});

/** What follows a question is not shown before it is answered, or left out. */
async function goOn(): Promise<void> {
  const button = page.getByRole("button", { name: /^Go on without an? (guess|answer)$/ });
  while ((await button.count()) > 0) await button.click();
}

const settled = () => page.locator("article[aria-busy=false]").waitFor();

test("the list leads to every lesson", async () => {
  await page.goto(`${served.url}#/lessons`);
  for (const { id, title } of lessons)
    expect(await page.getByRole("link", { name: title, exact: true }).getAttribute("href")).toBe(
      `#/lessons/${id}`,
    );
});

describe.each(lessons.map((lesson) => [lesson.title, lesson] as const))("%s", (title, lesson) => {
  const player = new Player(lesson);

  test("shows what the engine says, before and after a control has moved", async () => {
    await page.goto(`${served.url}#/lessons/${lesson.id}`);
    await page.getByRole("heading", { level: 1, name: title }).waitFor();
    await settled();
    const text = lesson.parts.flatMap((part) => ("text" in part ? [part.text] : []))[0]!;
    const said = (values: Record<string, number>) =>
      pieces(text, lesson, values, player.all(values))
        .map((piece) => piece.text)
        .join("");
    const values = valuesOf(lesson);
    await page.getByText(said(values)).first().waitFor();
    const questions = page.getByRole("region", { name: /^Question/ });
    const drawn = page.locator("figure svg[role=img]");
    expect([await questions.count(), await drawn.count()]).toEqual([1, 0]);
    await goOn();
    expect(await questions.count()).toBe(lesson.parts.filter((part) => "ask" in part).length);
    const { id, label, max } = lesson.controls[0]!;
    await page.getByRole("slider", { name: label }).fill(String(max));
    await settled();
    await page
      .getByText(said({ ...values, [id]: max }))
      .first()
      .waitFor();
    expect(await drawn.count()).toBeGreaterThan(0);
    await page.getByRole("button", { name: "As it was" }).click();
    await settled();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  });

  test("its questions tell right from wrong", async () => {
    const figures = player.all(valuesOf(lesson));
    const questions = lesson.parts.filter((part) => "ask" in part);
    for (const [k, question] of questions.entries()) {
      const shown = page.getByRole("region", { name: `Question ${k + 1}` });
      if ("guess" in question) {
        const right = figures[question.guess]!;
        const percent = lesson.figures.find((f) => f.id === question.guess)!.say === "percent";
        for (const [guess, verdict] of [
          [right === 0 ? 0.9 : 0, "Not quite"],
          [right, "Right."],
        ] as const) {
          // prettier-ignore
          await shown.getByLabel("Your guess").fill(String((percent ? 100 : 1) * guess));
          await shown.getByRole("button", { name: "That is my guess" }).click();
          await shown.getByText(verdict).waitFor();
        }
      } else {
        const answers = shown.getByRole("group", { name: "Answers" }).getByRole("button");
        const at = (right: boolean) =>
          choicesOf(question).findIndex((_, choice) => isRight(question, choice, figures) === right);
        await answers.nth(at(false)).click();
        await shown.getByText("Not so.").waitFor();
        await answers.nth(at(true)).click();
        await shown.getByText("Right.").waitFor();
      }
    }
  });
});

test("what follows a choice is shown once it is made, right or wrong", async () => {
  await page.goto(`${served.url}#/lessons/moving-is-reseating`);
  const first = page.getByRole("region", { name: "Question 1" });
  await first.getByRole("button", { name: "The module itself" }).waitFor();
  expect(await page.getByRole("figure").count()).toBe(0);
  await first.getByRole("button", { name: "The module itself" }).click();
  await page.getByRole("figure").first().waitFor();
  await first.getByText("Not so.").waitFor();
  // nothing follows the last question
  await page.getByRole("region", { name: "Question 2" }).waitFor();
  expect(await page.getByRole("button", { name: /^Go on without/ }).count()).toBe(0);
});

test("an answer holds while the controls stand as they did: once they move, it is asked anew", async () => {
  await page.goto(`${served.url}#/lessons/one-clean-start`);
  const first = page.getByRole("region", { name: "Question 1" });
  await first.getByLabel("Your guess").fill("40");
  await first.getByRole("button", { name: "That is my guess" }).click();
  await first.getByText("Right.").waitFor();
  await page.getByRole("slider", { name: /^Clean starts/ }).fill("30");
  await first.getByText("The controls have moved since you answered.").waitFor();
  expect(await first.getByText(/Right\.|Not quite/).count()).toBe(0);
  await first.getByRole("button", { name: "That is my guess" }).click();
  await first.getByText("Not quite").waitFor();
});

test.each(["light", "dark"] as const)("axe finds nothing in %s", async (colorScheme) => {
  await page.emulateMedia({ colorScheme });
  for (const { id } of [lessons[0]!, lessons[3]!]) {
    // lines, and bars
    await page.goto(`${served.url}#/lessons/${id}`);
    await settled();
    await goOn();
    const { violations } = await axe(page).analyze();
    expect(violations.map((v) => `${id}: ${v.id}: ${v.nodes.map((n) => n.html).join(" ")}`)).toEqual([]);
  }
});
