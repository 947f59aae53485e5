/** Whether the page works without the network, and whether a newer version of it has been fetched. */
export class Offline {
  /** every file is here: the network may go */
  ready = $state(false);
  /** a newer version that waits to be used */
  newer: ServiceWorker | null = $state.raw(null);
  /** another window has begun to use a newer version: files of this one may be gone */
  outdated = $state(false);
  #asked = false;

  /** Where the browser has no service workers, as over plain http, the page works from the network alone. */
  async begin(): Promise<void> {
    const container = "serviceWorker" in navigator ? navigator.serviceWorker : null;
    if (!container) return;
    const controlled = container.controller !== null;
    container.addEventListener("controllerchange", () => {
      if (this.#asked) location.reload();
      else if (controlled) this.outdated = true;
    });
    const registration = await container.register("./offline.js");
    registration.addEventListener("updatefound", () => this.#watch(registration.installing));
    this.#watch(registration.installing);
    if (registration.waiting && controlled) this.newer = registration.waiting;
    await container.ready;
    this.ready = true;
  }

  /** Reloads the page in the newer version. */
  use(): void {
    this.#asked = true;
    if (this.newer) this.newer.postMessage("take over");
    else location.reload();
  }

  #watch(worker: ServiceWorker | null): void {
    worker?.addEventListener("statechange", () => {
      if (worker.state === "installed" && navigator.serviceWorker.controller) this.newer = worker;
    });
  }
}
