/** For workers what public/strict.js is for the page: no asking whether code may be made from text. Imported first. */
(globalThis as { __zod_globalConfig?: { jitless: boolean } }).__zod_globalConfig = { jitless: true };
