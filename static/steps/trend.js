/**
 * The readings of one lens over time: a drawing whose every coordinate the calculation made, what
 * it says, and the same as a table. A filled mark belongs to the line, an open one was read in
 * another light, by another device or at another plane.
 *
 * @typedef {{ day: number, value: string, text: string, alike: number }} Point
 * @typedef {object} Chart
 * @property {string} line points "x,y" of the line, empty without one
 * @property {string} band points "x,y" about where one more reading would lie
 * @property {{ at: [string, string], alike: number }[]} points
 * @property {string[]} window y of the lower and the upper end of what is aimed at
 * @property {string[]} ticks y of each value at the axis
 * @property {string} right where the time axis ends
 * @typedef {{ kind: string, title: string, unit: string, points: Point[], text: string, axis: string[], chart: Chart }} Trend
 */
import { html, nothing, svg } from "lit-html";

/** @param {string} word the eye, in words @param {Trend[]} trends */
export function trendsOf(word, trends) {
  if (trends.length === 0) return nothing;
  return html`<details class="more-findings"><summary>Trends of this lens</summary>
    ${trends.map((trend) => figure(`${trend.title}, ${word.toLowerCase()}`, trend))}
  </details>`;
}

/**
 * @param {string} title
 * @param {Trend} trend
 */
function figure(title, { unit, points, text, axis, chart }) {
  return html`<figure class="trend">
    <figcaption class="t-small"><b>${title}</b>, ${unit}</figcaption>
    ${drawing(chart, axis)}
    <p class="t-small">${text}</p>
    <details><summary class="t-small">As a table</summary>
      <table class="t-small"><caption class="visually-hidden">${title}</caption>
        <thead><tr><th scope="col">Day after surgery</th><th scope="col">Reading</th></tr></thead>
        <tbody>${points.map((one) => html`<tr><td>${one.day}</td><td>${one.text}</td></tr>`)}</tbody>
      </table></details>
  </figure>`;
}

/**
 * @param {Chart} chart
 * @param {string[]} axis
 */
function drawing({ line, band, points, window: aimed, ticks, right }, axis) {
  const [low, high] = aimed;
  return html`<svg viewBox="0 0 320 132" aria-hidden="true" focusable="false">
    ${ticks.map((y, index) => svg`<text class="trend-tick" x="50" y=${Number(y) + 12} text-anchor="end">${axis[index]}</text>`)}
    <svg x="56" y="8" width="256" height="100" viewBox="0 0 256 100">
      ${low && high ? svg`<rect class="trend-window" x="0" width="256" y=${high} height=${Number(low) - Number(high)} />` : nothing}
      ${ticks.map((y) => svg`<line class="trend-grid" x1="0" x2="256" y1=${y} y2=${y} />`)}
      ${band ? svg`<polygon class="trend-band" points=${band} /><polyline class="trend-line" points=${line} />` : nothing}
    </svg>
    ${points.map(({ at: [x, y], alike }) => svg`<circle class=${alike ? "trend-point" : "trend-point other"} cx=${Number(x) + 56} cy=${Number(y) + 8} r="3.5" />`)}
    <text class="trend-tick" x="56" y="124">surgery</text>
    <text class="trend-tick" x="312" y="124" text-anchor="end">${right}</text>
  </svg>`;
}
