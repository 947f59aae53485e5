import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  arrangements,
  candidatesOf,
  droppedOf,
  type Candidate,
  type Change,
} from "../../engine/plan/candidates.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import { changed } from "../../engine/ticket/setup.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { smallTicket } from "../oracle/tickets.js";
import { catalog, ticket } from "./small.js";
import { after } from "./state.js";

const changesOf = (of: Ticket): Change[] => {
  const { belief, place } = after(of);
  return arrangements(belief.model, place.setup);
};
const candidates = (entries: Entry[] = [], more: Partial<Ticket> = {}): Candidate[] => {
  const of = ticket(entries, more);
  return candidatesOf(after(of), of.entries);
};
const looks = (list: Candidate[]) => list.flatMap((c) => (c.kind === "finding" ? [`${c.finding.id} ${c.on ?? ""}`.trim()] : c.kind === "reading" ? [`${c.reading.id} ${c.on ?? ""}`.trim()] : [])); // prettier-ignore
const conditionsOf = (list: Candidate[], of: (c: Candidate) => boolean) =>
  list.flatMap((c) => (c.kind === "starts" && of(c) ? [JSON.stringify(c.conditions)] : []));
const moves = (c: Candidate) => c.kind === "starts" && c.change !== null;

describe("arrangements of the kiosk", () => {
  const all = changesOf(ticket());
  const has = (change: Change) => all.some((c) => JSON.stringify(c) === JSON.stringify(change));

  test("do not take up a part that has gone; a marked spare is still there", () => {
    const gone = (to: "recycled" | "spare") => {
      const { machine } = ticket();
      const parts = machine.parts.map((p) => (p.id === "s2" ? { ...p, went: { to } } : p));
      return changesOf(ticket([], { machine: { ...machine, parts } }));
    };
    const swap = { fit: { bay: "s2" } };
    expect(gone("recycled")).toEqual(all.filter((change) => JSON.stringify(change) !== JSON.stringify(swap)));
    expect(gone("spare")).toEqual(all);
  });

  test("do not lead back to how it came in once a part of that has gone", () => {
    const moved: Entry[] = [{ kind: "change", id: "c", fit: { bay: "s2" } }];
    const back = { fit: { bay: "s1" } };
    const has = (of: Ticket) =>
      changesOf(of).some((change) => JSON.stringify(change) === JSON.stringify(back));
    const { machine } = ticket();
    const parts = machine.parts.map((p) => (p.id === "s1" ? { ...p, went: { to: "recycled" as const } } : p));
    expect([has(ticket(moved)), has(ticket(moved, { machine: { ...machine, parts } }))]).toEqual([
      true,
      false,
    ]);
  });

  test("are, one idea each: spares in, a module out or elsewhere, two changed round, a setting, the donor", () => {
    expect(all).toEqual([
      { fit: { A1: "m3" } },
      { fit: { A2: "m3" } },
      { fit: { bay: "s2" } },
      { fit: { tray: "b2" } },
      { fit: { A1: null } },
      { fit: { A2: null } },
      { fit: { A1: "m2", A2: "m1" } },
      { settings: { speed: "standard" } },
      { settings: { outlet: "wall" } },
      { in: "d1", fit: { socket: "p1" } },
      { in: "d1", fit: { crown: "c1" } },
      { in: "d1", fit: { A1: "m1" } },
      { in: "d1", fit: { A2: "m2" } },
    ]);
  });

  test("never take out what the machine cannot be tried without", () => {
    for (const needed of ["tray", "socket", "crown", "bay"])
      expect(has({ fit: { [needed]: null } })).toBe(false);
    const single = changesOf(ticket([{ kind: "change", id: "c", fit: { A2: null } }]));
    expect(single).not.toContainEqual({ fit: { A1: null } }); // a machine needs one module
  });

  test("do not offer a setting that is no test", () => {
    const settings = catalog.settings!.map((s) => ({ ...s, test: s.id !== "speed" }));
    expect(changesOf(ticket([], { catalog: { ...catalog, settings } })).filter((c) => c.settings)).toEqual([
      { settings: { outlet: "wall" } },
    ]);
  });

  test("offer an empty slot to a part, and the way back to how it came in", () => {
    const moved = changesOf(ticket([{ kind: "change", id: "c", fit: { A1: null, bay: "s2" } }]));
    expect(moved).toContainEqual({ fit: { A2: null, A1: "m2" } });
    expect(moved).toContainEqual({ fit: { A1: "m1", bay: "s1" } });
  });

  test("from a donor are the way home alone", () => {
    const away = ticket([{ kind: "change", id: "c", in: "d1", fit: { A1: "m1" } }]);
    expect(changesOf(away)).toEqual([{ in: "own", fit: { A1: "m1" } }]);
  });

  test("leave one of many of a kind: three modules, two of them out", () => {
    const positions = [
      ...catalog.positions,
      { id: "B1", name: "slot B1", kind: "slot", accepts: "module", on: "board" },
    ];
    const three = ticket([{ kind: "change", id: "c", fit: { B1: "m3" } }], {
      catalog: { ...catalog, positions },
    });
    expect(changesOf(three)).toContainEqual({ fit: { A2: null, B1: null } });
  });
});

describe("on any small ticket", () => {
  const law = (holds: (ticket: Ticket, changes: Change[]) => void, seed: number) =>
    fc.assert(
      fc.property(smallTicket, (of) => holds(of, changesOf(of))),
      { seed, numRuns: 25, endOnFailure: true },
    );

  test("no two arrangements are the same, and none is the one on the bench", () => {
    law((of, changes) => {
      const { setup } = after(of).place;
      const setups = [setup, ...changes.map((c) => changed(setup, c))].map((s) => JSON.stringify(s));
      expect(new Set(setups).size).toBe(setups.length);
    }, 61);
  });

  test("each could be written into the record", () => {
    law((of, changes) => {
      for (const change of changes) {
        const next = { ...of, entries: [...of.entries, { kind: "change", id: "next", ...change } as Entry] };
        expect(checkTicket(of.catalog as Catalog, next)).toEqual([]);
      }
    }, 62);
  });

  test("no candidate is named twice", () => {
    law((of) => {
      const names = candidatesOf(after(of), of.entries).map((c) => JSON.stringify(c));
      expect(new Set(names).size).toBe(names.length);
    }, 63);
  });
});

describe("conditions", () => {
  const stop = (conditions: Record<string, string | number>): Entry => ({ kind: "starts", id: JSON.stringify(conditions).length.toString(), conditions, trials: [{ outcome: "dead" }] }); // prettier-ignore

  test("as it is, each class in turn; moved, only the defaults while no start has stopped", () => {
    expect(conditionsOf(candidates(), (c) => !moves(c))).toEqual([
      "{}",
      '{"rest":"cold"}',
      '{"load":"soak"}',
    ]);
    expect(new Set(conditionsOf(candidates(), moves))).toEqual(new Set(["{}"]));
  });

  test("moved, those too under which a start has stopped, by class or by minutes", () => {
    const moved = (entry: Entry) => new Set(conditionsOf(candidates([entry]), moves));
    expect(moved(stop({ rest: "cold" }))).toEqual(new Set(["{}", '{"rest":"cold"}']));
    expect(moved(stop({ rest: 90 }))).toEqual(new Set(["{}", '{"rest":"cold"}']));
    expect(moved(stop({ rest: 5 }))).toEqual(new Set(["{}"]));
  });

  test("not those of a clean start written as a set of one, but of a set that holds a stop", () => {
    const seen = (...outcome: string[]): Entry[] => [
      { kind: "starts", id: "a", conditions: { rest: "cold" }, trials: [{ outcome }] },
    ];
    expect(conditionsOf(candidates(seen("clean")), moves)).not.toContain('{"rest":"cold"}');
    expect(conditionsOf(candidates(seen("dead", "clean")), moves)).toContain('{"rest":"cold"}');
  });

  test("not those of clean or voided starts", () => {
    const quiet: Entry = {
      kind: "starts",
      id: "q",
      conditions: { rest: "cold" },
      trials: [{ outcome: "clean" }, { outcome: "dead", voided: "dog" }],
    };
    expect(new Set(conditionsOf(candidates([quiet]), moves))).toEqual(new Set(["{}"]));
  });
});

describe("looks", () => {
  const dust: Entry = { kind: "finding", id: "f", finding: "dust", on: "A1", value: "clean" };

  test("are offered on each thing they can be made on, in the machine as it is", () => {
    expect(looks(candidates())).toEqual(["dust A1", "dust A2", "smell", "rail s1"]);
    expect(looks(candidates([{ kind: "change", id: "c", fit: { A2: null, bay: "s2" } }]))).toEqual([
      "dust A1",
      "smell",
      "rail s2",
    ]);
  });

  test("a finding that holds is not offered again, until what was looked at is touched", () => {
    expect(looks(candidates([dust]))).not.toContain("dust A1");
    expect(looks(candidates([dust, { kind: "repair", id: "r", repair: "brush", on: "A1" }]))).toContain(
      "dust A1",
    );
  });

  test("a reading can always be made again", () => {
    expect(looks(candidates([{ kind: "reading", id: "r", reading: "rail", on: "s1", value: 5 }]))).toContain(
      "rail s1",
    );
  });

  test("what no cause here could show in is not offered", () => {
    const causes = catalog.causes.filter((c) => c.id !== "weak-supply");
    expect(looks(candidates([], { catalog: { ...catalog, causes } }))).toEqual(["dust A1", "dust A2"]);
  });
});

test("repairs are offered on each thing they can be made on, unless they are no test", () => {
  const repairs = (list: Candidate[]) =>
    list.flatMap((c) => (c.kind === "repair" ? [`${c.repair!.repair.id} ${c.repair!.on ?? ""}`.trim()] : []));
  expect(repairs(candidates())).toEqual(["brush A1", "brush A2", "load-firmware"]);
  const untested = catalog.repairs!.map((r) => ({ ...r, test: false }));
  expect(repairs(candidates([], { catalog: { ...catalog, repairs: untested } }))).toEqual([]);
});

test("beyond 240 candidates, the number of those left out is told", () => {
  const spares = Array.from({ length: 130 }, (_, k) => ({ id: `x${k}`, kind: "module", spare: true }));
  const few = ticket();
  const many = { ...few, machine: { ...few.machine, parts: [...few.machine.parts, ...spares] } };
  expect(droppedOf(after(few), [])).toBe(0);
  expect(candidatesOf(after(many), [])).toHaveLength(240);
  // each spare module fits either slot: 260 arrangements more
  expect(droppedOf(after(many), [])).toBe(candidatesOf(after(few), []).length + 260 - 240);
});
