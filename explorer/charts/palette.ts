/** Hue by group of cause: Okabe–Ito, as custom properties of app.css, so that light, dark and print have their own. */
const HUES = new Set(["part", "contact", "firmware", "setting", "supply", "outside", "heat", "none"]);

export function hue(group: string): string {
  if (group === "unlisted") return "url(#hatch)"; // defined once in App.svelte
  return HUES.has(group) ? `var(--${group})` : "var(--none)";
}

/** The same where a pattern cannot be used, as in lines. */
export const lineHue = (group: string): string => (group === "unlisted" ? "var(--ink)" : hue(group));

export const INK = "var(--ink)";
export const SOFT = "var(--soft)";
export const LINE = "var(--line)";
