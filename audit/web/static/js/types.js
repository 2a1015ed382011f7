/**
 * What the server sends; the same as in /openapi.json.
 *
 * @typedef {[number, number]} XY
 * @typedef {[number, number, number, number]} Box
 * @typedef {{shape: string, sign: string, colour: string, word: string}} MarkStyle
 * @typedef {{checked: number, texts: number}} Coverage
 * @typedef {{id: number, name: string, state: 'not-begun'|'all-agree'|'disagrees'|'open', count: number, coverage: Coverage}} Tab
 * @typedef {{name: string, says: string, left: number}} Busy
 * @typedef {{revision: number, name: string, unit: string, tolerance: string, angle_tolerance: string,
 *   finest: string, drafting: string, thickness: string, can_undo: boolean, can_redo: boolean, busy: Busy|null, coverage: Coverage, sheets: Tab[], remarks: string[]}} Overview
 * @typedef {{text: string, confidence: number, by: string}} Candidate
 * @typedef {{text: string, value: string|null, unit: string|null, box: Box, angle: number, confidence: number,
 *   by: string, confirmed: boolean, doubt: string, candidates: Candidate[]}} Printed
 * @typedef {{value: number, says: string, uncertainty: number|null, uncertainty_says: string, unit: string,
 *   nearest: string|null, candidates: string[]}} Scaled
 * @typedef {{basis: string, value: string, needs_reason: boolean}} Option
 * @typedef {{basis: string, value: string|null, reason: string, hold: boolean}} Decision
 * @typedef {{point: XY, kind: string, sigma: number}} End
 * @typedef {{key: string, number: number, feature: string, view: string, kind: string|null, mark: MarkStyle,
 *   verdict: string|null, severity: string|null, code: string|null, printed: Printed|null, scaled: Scaled|null,
 *   says: string, why: string, sentence: string, evidence: string[], ends: End[], line: XY[], boxes: Box[],
 *   dimensions: number[], findings: number[], options: Option[], preselected: string|null, decision: Decision|null,
 *   tolerance: string|null, shows: string, by_hand: boolean, needs_you: boolean}} Row
 * @typedef {{key: string, label: string, mark: MarkStyle, centre: XY, radius: number, inside: boolean, leader: XY[]}} MarkPlace
 * @typedef {{key: string, label: string, head: string, why: string, boxes: Box[], texts: string[]}} Unchecked
 * @typedef {{number: number, a: XY, b: XY, length: string, residual: string, fits: boolean|null, across_fold: boolean}} Known
 * @typedef {{number: number, name: string, title: string, kind: string, box: Box, scale: string, stated_scale: string,
 *   has_scale: boolean, tolerance: string, dimensions: number, by_hand: boolean}} View
 * @typedef {{name: string, view: number, shape: string, size: string, centre: XY, angle: number, outline: XY[]}} Piece
 * @typedef {{name: string, example: Box, places: XY[], printed: number|null, says: string}} DrawnCount
 * @typedef {{number: number, a: XY, b: XY, step: string, across: number, says: string}} Fold
 * @typedef {{says: string, longest: string, arrows: {at: XY, tip: XY}[]}} Flatness
 * @typedef {{side: string, at: XY, line: XY|null, over: number|null, uncertainty: number|null, says: string,
 *   state: 'over'|'short'|'flush'|'unseen'}} LaidEdge
 * @typedef {{view: number, size: string, unit: string, outline: XY[], edges: LaidEdge[]}} Laid
 * @typedef {{hits: {centre: XY, angle: number, scale: number, score: number}[], printed: number|null, printed_text: string}} FoundAlike
 * @typedef {{dimension: number|null, count: number, says: string}} SumTerm
 * @typedef {{legs: SumTerm[], overall: SumTerm|null, total: string, gap: string, closes: boolean|null, rounding: string,
 *   sentence: string, decided: string, decided_closes: boolean|null, typed: string}} Sum
 * @typedef {{name: string, typed: string, reason: string, sum: Sum|null, problem: string}} KeptSum
 * @typedef {{dimension: number, sheet: number, name: string, printed: string}} Linked
 * @typedef {{first: Linked, second: Linked, state: 'same'|'different'|'proposed', reason: string, says: string, agrees: boolean|null}} Link
 * @typedef {{name: string, count: number|null, material: string, nominal: string, measured: string, hand: string,
 *   views: number[], dimensions: number[], places: [number, Box][], proposed: boolean, says: string}} Part
 * @typedef {{dimension: number|null, says: string, count: number}} Leg
 * @typedef {{finding: number|null, name: string, legs: Leg[], total: string, overall: Leg|null, gap: string, rounding: string, text: string, closes: boolean}} Chain
 * @typedef {{revision: number, id: number, name: string, width: number, height: number, from_frame: number[][],
 *   frame: string, sharp: boolean, coarsest: number, digest: string, coverage: Coverage, says: string,
 *   remarks: string[], unit: string, rows: Row[], marks: MarkPlace[], unchecked: Unchecked[], known_sizes: Known[],
 *   chains: Chain[], views: View[], pieces: Piece[], drawn_counts: DrawnCount[], folds: Fold[], flatness: Flatness|null, paper_known: boolean,
 *   paper_by_hand: boolean, has_scale: boolean}} Sheet
 * @typedef {{listens: boolean, host: string|null, url: string|null, seconds_left: number, code: string[], photos: number}} Phone
 * @typedef {{point: XY, kind: string, sigma: number, sigma_px: number}} Snap
 * @typedef {{revision: number, key: string|null, row: Row|null, says: string}} Done
 */
export {};
