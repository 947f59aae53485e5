/** A code of ISO 4217, by its form alone: which of them are in use changes from year to year. */
export const CURRENCY = /^[A-Z]{3}$/;

export const isCurrency = (data: unknown): data is string => typeof data === "string" && CURRENCY.test(data);
