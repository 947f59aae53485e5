/** A worker's share of the tickets left out: every so manieth worked before and after tuning, each posted as it is done. */
import "../strict.js";
import { pairRows, type TicketsLeftOut } from "../../engine/learn/score/minutes.js";
import { tellAll, type Part } from "../race/shared.js";

export interface Share extends Part {
  left: TicketsLeftOut;
}

self.onmessage = ({ data: { left, from, stride } }: MessageEvent<Share>) =>
  tellAll(pairRows(left, from, stride), (told) => self.postMessage(told));
