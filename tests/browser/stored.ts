/** What the browser's database holds of one ticket. */
import type { Page } from "playwright-core";

const STORES = ["heads", "tickets", "steps"] as const;

export const stored = (page: Page, id: string): Promise<Record<(typeof STORES)[number], unknown[]>> =>
  page.evaluate(
    async ({ stores, id }) => {
      const ended = <T>(request: IDBRequest<T>) =>
        new Promise<T>((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error ?? new Error("no database"));
        });
      const db = await ended(indexedDB.open("fitful"));
      const tx = db.transaction(stores);
      const of = (store: (typeof stores)[number]) =>
        store === "steps" ? IDBKeyRange.bound([id], [id, []]) : IDBKeyRange.only(id);
      const found = await Promise.all(
        stores.map(async (store) => [store, await ended(tx.objectStore(store).getAll(of(store)))] as const),
      );
      db.close();
      return Object.fromEntries(found) as Record<(typeof stores)[number], unknown[]>;
    },
    { stores: STORES, id },
  );
