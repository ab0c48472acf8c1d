/**
 * Findings about the decisions on an eye, not about its readings: a contradiction, a late reading.
 *
 * @import { Finding } from "../ui/findings.js"
 */
const OF_DECISIONS = /^(decisions\.|D24\.order_)/;

/**
 * Say whether a finding is about what was decided; then somebody has to decide again.
 *
 * @param {Pick<Finding, "code"> | null} finding
 */
export function isOfDecisions(finding) {
  return OF_DECISIONS.test(finding?.code ?? "");
}
