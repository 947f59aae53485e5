#!/usr/bin/env node
// The command is TypeScript and runs from its source: tsx teaches node to read it.
import { register } from "tsx/esm/api";

register();
const { main } = await import("./main.ts");
await main(process.argv.slice(2));
