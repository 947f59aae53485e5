/** Room on the disk: what the browser has promised, and how much is taken. */
export interface Room {
  /** the browser has promised not to clear the database to make room for others */
  promised: boolean;
  /** bytes; null where the browser does not say */
  taken: number | null;
  most: number | null;
}

const storage = (): StorageManager | null => ("storage" in navigator ? navigator.storage : null);

/** Asks for the promise; true where it is given. A browser may ask its user, so this waits for the first work done. */
export async function askToKeep(): Promise<boolean> {
  return (await storage()?.persist?.()) ?? false;
}

export async function room(): Promise<Room> {
  const promised = (await storage()?.persisted?.()) ?? false;
  const { usage = null, quota = null } = (await storage()?.estimate?.()) ?? {};
  return { promised, taken: usage, most: quota };
}
