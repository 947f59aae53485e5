#!/usr/bin/env node
import { load } from "./bundle.js";

const { main } = await load("main");
await main(process.argv.slice(2));
