/** What the browser's database refuses, in words that say what can be done. */
const WORDS: Record<string, string> = {
  QuotaExceededError:
    "the browser has no room left for this page; save the ticket as a file, then make room: take closed tickets off " +
    "the bench and delete them for good under “Taken off”, or free space on the disk",
  BlockedError:
    "another window shows an older version of this page; close it or load it again, then try again here; nothing is lost",
  VersionError:
    "a newer version of this page has written the database; reload the page to get that version, nothing is lost",
  InvalidStateError:
    "the browser closed its database; a private window may forbid one, or the profile is read-only",
  SecurityError:
    "the browser forbids this page a database, as some do in a private window or with cookies off",
  UnknownError: "the browser could not use its database; the disk may be full or the profile damaged",
};

export function troubleOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  return WORDS[error.name] ?? (error.message || error.name);
}
