/**
 * The page's policy forbids making code from text, and zod asks whether it may before the first schema is made, which a
 * browser reports as an attempt. Told not to ask, it reads a little more slowly. Imported before everything else.
 */
(globalThis as { __zod_globalConfig?: { jitless: boolean } }).__zod_globalConfig = { jitless: true };
