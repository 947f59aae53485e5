import fc from "fast-check";
import { expect, test } from "vitest";
import { Ticket } from "../../engine/ticket/schema.js";
import { logEvidence, weighDense } from "./dense.js";
import { snapshot } from "./belief.js";
import { smallTicket } from "./tickets.js";
import { exposuresIn, minutesOf, translate } from "./translate.js";

test("random small tickets are valid and the oracle weighs them to probabilities", () => {
  fc.assert(
    fc.property(smallTicket, (ticket) => {
      expect(Ticket.safeParse(ticket).error).toBeUndefined();
      const { model, steps, world, last } = translate(ticket);
      const table = weighDense(model, steps);
      const now = snapshot(table, steps.length, exposuresIn(world, last, minutesOf(world)));
      expect(Number.isFinite(logEvidence(table, steps.length))).toBe(true);
      expect(now.sets.reduce((sum, x) => sum + x.p, now.unlisted)).toBeCloseTo(1, 12);
    }),
    { seed: 1, numRuns: 25 },
  );
}, 60_000);
