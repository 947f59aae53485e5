/** The worker: holds the weigher of one catalog and answers one request at a time, in order. */
import "../strict.js";
import { createWeigher, parseTicket, type Weigher } from "../../engine/weigh.js";
import type { Answer, Request } from "./messages.js";

let weigher: Weigher | null = null;

function answer(request: Request): Answer {
  if (request.kind === "parse") return parseTicket(request.data);
  if (request.catalog) weigher = createWeigher(request.catalog);
  if (!weigher) return { failure: "weigh: found no catalog, expected one with the first request" };
  return weigher.weigh(request.ticket, { advice: request.advice });
}

self.onmessage = ({ data }: MessageEvent<Request>) => {
  let reply: Answer;
  try {
    reply = answer(data);
  } catch (error) {
    reply = { failure: error instanceof Error ? error.message : String(error) };
  }
  self.postMessage(reply);
};
