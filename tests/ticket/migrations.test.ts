import { expect, test } from "vitest";
import { migrate } from "../../engine/ticket/migrations.js";
import { ticket } from "../plan/small.js";

test("the present format is left as it is", () => {
  const data = ticket();
  expect(migrate(data)).toBe(data);
});
