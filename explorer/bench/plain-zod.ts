/** The checks of the schemas without compiled code: the page's own policy forbids that, and says so on the console. */
import { config } from "zod";

config({ jitless: true });
