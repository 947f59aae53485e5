/** The worker of the practice machines: the hidden truth is here and nowhere else until the envelope is opened. */
import "../strict.js";
import type { Catalog } from "../../engine/catalog/schema.js";
import {
  arrivalOfDeal,
  codeOf,
  dealOf,
  dealOfTicket,
  ticketOfDeal,
  type Deal,
} from "../../engine/practice/deal.js";
import { costliest, openEnvelope } from "../../engine/practice/envelope.js";
import { actionsOf, Session, startAction } from "../../engine/practice/session.js";
import { issue } from "../../engine/issue.js";
import type { Entry, Ticket } from "../../engine/ticket/schema.js";
import { answering } from "../store/caller.js";
import type { Answers, Doing, PracticeRequest, Refused } from "./messages.js";

const sessions = new Map<string, Session>();

function sessionOf(catalog: Catalog, deal: Deal): Session {
  const code = codeOf(deal);
  let session = sessions.get(code);
  if (!session) sessions.set(code, (session = new Session(catalog, arrivalOfDeal(catalog, deal))));
  return session;
}

/** The machine of a ticket, or why there is none. */
function machineOf(ticket: Ticket, known: readonly Catalog[]): Session | Refused {
  const deal = dealOfTicket(ticket);
  if (!deal) return { issues: [issue("practice", "no practice machine", "the record of one")] };
  const read = dealOf(codeOf(deal).split("/").map(decodeURIComponent), known);
  return "issues" in read ? read : sessionOf(read.catalog, read.deal);
}

function actionOf(catalog: Catalog, doing: Doing) {
  if (doing.kind === "start") return startAction(catalog, doing.conditions);
  const on = doing.on === null ? {} : { on: doing.on };
  const entry = { kind: doing.kind, id: "asked", [doing.kind]: doing.id, value: "0", ...on };
  return actionsOf(catalog, entry as unknown as Entry)[0];
}

function answer(request: PracticeRequest, part: (part: unknown) => void): Answers[keyof Answers] | Refused {
  const { catalogs } = request;
  if (request.ask === "deal") {
    const read = dealOf(request.code, catalogs);
    return "issues" in read ? read : { ticket: ticketOfDeal(read.catalog, read.deal, request.by) };
  }
  const session = machineOf(request.ticket, catalogs);
  if ("issues" in session) return session;
  const { catalog, arrival } = session;
  switch (request.ask) {
    case "do": {
      const action = actionOf(catalog, request.doing);
      if (!action) return { issues: [issue("entry", "something unknown", "what the catalog names")] };
      return session.ask(request.ticket, action);
    }
    case "soFar":
      return session.soFar(request.ticket);
    case "open":
      return openEnvelope(catalog, arrival, request.ticket);
    case "moments":
      return { moments: costliest(catalog, arrival, request.ticket, (done, of) => part({ done, of })) };
  }
}

answering(answer);
