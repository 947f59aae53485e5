/** What can be done on a ticket besides writing an entry: the button, and the title of its sheet. */
export type Other = "donor" | "cause" | "part" | "park";

export const OTHERS: Record<Other, { name: string; title: string }> = {
  donor: { name: "Try a part elsewhere", title: "Try a part in another machine" },
  cause: { name: "A cause of my own", title: "A cause that is not on the list" },
  part: { name: "The part that came out", title: "Where the part went that came out" },
  park: { name: "Park", title: "Park this ticket" },
};
