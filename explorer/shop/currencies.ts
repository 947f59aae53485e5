/** The currencies that this browser knows by name, as ISO 4217 has them. */
export interface Currency {
  code: string;
  name: string;
}

export function currencies(): Currency[] {
  const names = new Intl.DisplayNames("en-GB", { type: "currency" });
  return Intl.supportedValuesOf("currency").map((code) => ({ code, name: names.of(code) ?? code }));
}
