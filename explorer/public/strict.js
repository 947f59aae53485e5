// The page's policy forbids making code from text, and zod asks whether it may before its first schema is made, which a
// browser reports as an attempt. Told not to ask, it reads a little more slowly. A script of its own: it comes first.
globalThis.__zod_globalConfig = { jitless: true };
