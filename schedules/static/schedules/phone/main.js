// Starts the page: the words of whoever is here first, then everything that speaks them.

import { rememberedPerson } from "./device.js";
import { loadWords } from "./gettext.js";

const person = await rememberedPerson();
await loadWords(person?.language || document.documentElement.lang || "en");
const { start } = await import("./page.js");
await start(person);
