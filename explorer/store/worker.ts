/** The worker: answers one request at a time, in order. */
import "../strict.js";
import { Answers } from "./answers.js";
import type { Request } from "./messages.js";

const answers = new Answers();
self.onmessage = ({ data }: MessageEvent<Request>) => self.postMessage(answers.to(data));
