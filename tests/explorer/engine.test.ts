import { expect, test } from "vitest";
import { Engine, type Postable } from "../../explorer/store/engine.js";
import type { Answer, Request } from "../../explorer/store/messages.js";
import { readJson } from "../../explorer/store/files.js";
import { catalog, ticket, weighing } from "./small.js";

/** A worker that answers when the test says so. */
class Puppet implements Postable {
  posted: Request[] = [];
  ended = false;
  onmessage: Worker["onmessage"] = null;
  onerror: Worker["onerror"] = null;
  postMessage = (request: Request) => void this.posted.push(request);
  terminate = () => void (this.ended = true);
  answer(data: Answer) {
    this.onmessage?.call(this as unknown as Worker, { data } as MessageEvent<Answer>);
  }
}
function engine() {
  const puppets: Puppet[] = [];
  const made = new Engine(() => {
    const puppet = new Puppet();
    puppets.push(puppet);
    return puppet;
  });
  return { made, puppets };
}
const named = (title: string) => ({ ...ticket, title });

test("one request runs at a time, and of those that wait only the latest is asked", async () => {
  const { made, puppets } = engine();
  const asked = ["one", "two", "three"].map((title) => made.weigh(catalog, named(title), false));
  expect(puppets[0]!.posted.length).toBe(1);
  puppets[0]!.answer({ weighing });
  expect(puppets[0]!.posted.map((r) => (r.kind === "weigh" ? r.ticket.title : ""))).toEqual(["one", "three"]);
  puppets[0]!.answer({ weighing });
  expect(await Promise.all(asked)).toEqual([{ weighing }, null, { weighing }]);
});

test("a catalog is sent once, and again to a new worker", async () => {
  const { made, puppets } = engine();
  void made.weigh(catalog, ticket, false);
  puppets[0]!.answer({ weighing });
  void made.weigh(catalog, ticket, true);
  expect(puppets[0]!.posted.map((r) => (r.kind === "weigh" ? r.catalog : "?"))).toEqual([catalog, null]);
  made.close();
  void made.weigh(catalog, ticket, false);
  expect(puppets[1]!.posted[0]).toMatchObject({ catalog });
});

test("a failure reaches the one who asked, and the next request is still answered", async () => {
  const { made, puppets } = engine();
  const first = made.weigh(catalog, ticket, false);
  const second = made.weigh(catalog, ticket, false);
  puppets[0]!.answer({ failure: "out of memory" });
  await expect(first).rejects.toThrow("out of memory");
  puppets[0]!.answer({ weighing });
  expect(await second).toEqual({ weighing });
});

test("a file that is no JSON is an issue, not a crash", () => {
  expect(readJson("{")).toMatchObject({ issues: [{ path: "file", expected: "a ticket file (JSON)" }] });
  expect(readJson("[1]")).toEqual({ data: [1] });
});
