/** The worker's side of a conversation: holds the weigher of one catalog, the ticket, and the views it has told. */
import type { Ticket } from "../../engine/ticket/schema.js";
import { checkTicket } from "../../engine/ticket/checkTicket.js";
import { createWeigher, parseTicket, type Weigher } from "../../engine/weigh.js";
import type { EntryView, Weighing } from "../../engine/weighing.js";
import type { Answer, Request } from "./messages.js";
import { applied } from "./patch.js";

const ADVICE = { belief: false, advice: "next", everything: true } as const;

export class Answers {
  #weigher: Weigher | null = null;
  #ticket: Ticket | null = null;
  #told: readonly EntryView[] = [];

  to(request: Request): Answer {
    try {
      return this.#to(request);
    } catch (error) {
      return { failure: error instanceof Error ? error.message : String(error) };
    }
  }

  #to(request: Request): Answer {
    if (request.kind === "parse") return parsed(request);
    if (request.catalog) this.#weigher = createWeigher(request.catalog);
    const change = request.ticket;
    if (change) this.#ticket = "whole" in change ? change.whole : applied(this.#ticket, change.step);
    if (!this.#weigher || !this.#ticket)
      return { failure: "weigh: found no catalog or no ticket, expected both with the first request" };
    const weighed = this.#weigher.weigh(this.#ticket, { advice: ADVICE[request.wanted] });
    if ("issues" in weighed) return weighed;
    return request.wanted === "advice" ? { advice: weighed.weighing.next } : this.#news(weighed.weighing);
  }

  /** A weighing without the views that the page has already. */
  #news(weighing: Weighing): Answer {
    const { entries } = weighing;
    let same = 0;
    while (same < entries.length && entries[same] === this.#told[same]) same++;
    this.#told = entries;
    return { weighing: { ...weighing, entries: entries.slice(same) }, same };
  }
}

function parsed({ data, catalog }: Extract<Request, { kind: "parse" }>): Answer {
  const answer = parseTicket(data);
  if ("issues" in answer || catalog === undefined) return answer;
  const issues = checkTicket(catalog, answer.ticket);
  return issues.length > 0 ? { issues } : answer;
}
