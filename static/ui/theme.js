/**
 * Light, dusk or lamp: chosen by hand, kept on this device, never switched by time or sensor.
 *
 * @typedef {"light" | "dusk" | "lamp"} Theme
 * @import { TemplateResult } from "lit-html"
 */
import { html } from "lit-html";
import { icon } from "./icons.js";

/** @type {readonly { id: Theme, label: string, hint: string }[]} */
export const THEMES = [
  { id: "light", label: "Light", hint: "By day" },
  { id: "dusk", label: "Dusk", hint: "In a dim room" },
  { id: "lamp", label: "Lamp", hint: "Beside the slit lamp: dark, amber only" },
];
const KEY = "lampside.theme";
const KEY_BEFORE = "lampside.theme-before-lamp";

/**
 * Return the theme in use.
 *
 * @returns {Theme}
 */
export function theme() {
  const kept = localStorage.getItem(KEY);
  return THEMES.find(({ id }) => id === kept)?.id ?? "light";
}

/**
 * Use a theme from now on; the change is a cut, without fading.
 *
 * @param {Theme} chosen
 */
export function useTheme(chosen) {
  localStorage.setItem(KEY, chosen);
  if (chosen !== "lamp") localStorage.setItem(KEY_BEFORE, chosen);
  showTheme();
}

/** Put the kept theme on the page; called once at the start, before anything is drawn. */
export function showTheme() {
  document.documentElement.dataset.theme = theme();
  document.documentElement.classList.remove("starting");
  const ground = getComputedStyle(document.documentElement).getPropertyValue("--ground").trim();
  document.querySelector('meta[name="theme-color"]')?.setAttribute("content", ground);
}

/**
 * Return the slit at the top right of every page: lamp on, or back to what was before.
 *
 * @returns {TemplateResult}
 */
export function lampSwitch() {
  return html`<button type="button" class="icon-btn" aria-pressed=${theme() === "lamp"}
    aria-label="Slit-lamp theme"
    @mousedown=${(/** @type {Event} */ event) => event.preventDefault()}
    @click=${toggleLamp}>${icon("lamp")}</button>`;
}

/** @param {Event} event */
function toggleLamp(event) {
  const before = localStorage.getItem(KEY_BEFORE) === "dusk" ? "dusk" : "light";
  useTheme(theme() === "lamp" ? before : "lamp");
  const button = /** @type {HTMLElement} */ (event.currentTarget);
  button.setAttribute("aria-pressed", String(theme() === "lamp"));
}
