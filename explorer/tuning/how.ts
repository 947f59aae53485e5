/** How the figures of "Before and after" came about, said to a technician; the account is engine/learn/README.md. */
import type { Figure } from "../charts/tuned-rows.js";

const CHANCES_TO_SHOW =
  "Starts counted on confirmed tickets, held by the catalog's figure and by what the other causes of the group show. The line follows how believable each value is, lopsided where that is lopsided; the cause's other figures, and how far its whole group lies from the catalog, are not taken as known.";

const OWN: Record<Figure, string> = {
  share:
    "The catalog counts as a number of tickets of its own, and past tickets are added. A cause of a group is raised with the others of the group. The line is that of a Beta distribution.",
  rate: CHANCES_TO_SHOW,
  hard: CHANCES_TO_SHOW,
  stages:
    "The catalog's figures count as ten stops, and past stops are added. The line is that of a Beta distribution.",
  event:
    "How often the event came before a ticket of the cause, against how often it comes before any machine. That second figure is not known well either: the line lets it take every value, each as far as the tickets bear it out.",
  cure: "The catalog counts as ten repairs; those that cured and those that did not are added. The line is that of a Beta distribution.",
  minutes:
    "Times of repairs are taken as log-normal: many usual ones, some far longer. The catalog counts as four repairs. The line is of the mean, and how much times scatter is not taken as known.",
  "failures a year":
    "Failures are added to the catalog's, and unit-years to its unit-years. The line is that of a Gamma distribution.",
};

const UNCONFIRMED =
  "A ticket without a confirmed cause counts for each cause by how likely it is after what the ticket showed; for the lines by the square of that, as a guess tells less than a finding. Tried on invented tables, lines of 90 % hold the truth in 88 % to 90 % of cases where three in ten tickets are unconfirmed; where seven in ten are, some kinds of figure are held in only 82 %.";

export const tunedHow = (figure: Figure): string[] => [OWN[figure], UNCONFIRMED];
