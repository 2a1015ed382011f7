/**
 * The only module that talks to the server.
 *
 * @typedef {import('./types.js').Overview} Overview
 * @typedef {import('./types.js').Sheet} Sheet
 * @typedef {import('./types.js').Done} Done
 */

/** What the server says is wrong, in one line, and what to do. */
export class ApiError extends Error {
  /**
   * @param {string} code
   * @param {string} problem
   * @param {string} advice
   */
  constructor(code, problem, advice) {
    super(advice ? `${problem}: ${advice}` : problem);
    this.code = code;
    this.problem = problem;
    this.advice = advice;
  }
}

/**
 * @param {string} method
 * @param {string} address
 * @param {any} [body]
 * @returns {Promise<any>}
 */
async function call(method, address, body) {
  const raw = body instanceof Blob;
  let answer;
  try {
    answer = await fetch(address, {
      method,
      headers: body === undefined || raw ? {} : { 'Content-Type': 'application/json' },
      body: body === undefined ? undefined : raw ? body : JSON.stringify(body),
    });
  } catch {
    throw new ApiError('no-server', 'the server does not answer', 'start plan-audit open again; what was confirmed is kept');
  }
  const said = await answer.json().catch(() => ({}));
  if (answer.ok) return said;
  const { code = 'internal', problem = 'the server could not do this', advice = '' } = said.error ?? {};
  throw new ApiError(code, problem, advice);
}

/** @param {Record<string, any>} fields */
const query = (fields) => new URLSearchParams(fields).toString();

export const api = {
  /** @returns {Promise<Overview>} */
  audit: () => call('GET', '/api/audit'),
  /** @param {number} id @returns {Promise<Sheet>} */
  sheet: (id) => call('GET', `/api/sheets/${id}`),
  /** @param {number} id @param {string} digest @param {number} zoom @param {number} column @param {number} row */
  tileAddress: (id, digest, zoom, column, row) => `/api/sheets/${id}/tiles/${zoom}/${column}/${row}?of=${digest}`,
  /** @param {number} id @param {number[]} box @param {number} angle @param {string} digest */
  cropAddress: (id, [x0, y0, x1, y1], angle, digest) => `/api/sheets/${id}/crop?${query({ x0, y0, x1, y1, angle, of: digest })}`,
  /** @param {number} id @param {number[]} point @param {number} reach */
  snap: (id, [x, y], reach) => call('GET', `/api/sheets/${id}/snap?${query({ x, y, reach })}`),
  /** @param {File} file */
  addPlan: (file) => call('POST', `/api/plans?${query({ name: file.name })}`, file),
  stopSearch: () => call('DELETE', '/api/search'),
  /** @param {number} id */
  searchAgain: (id) => call('POST', `/api/sheets/${id}/search`),
  /** @param {object} wanted @returns {Promise<Done>} */
  addKnown: (wanted) => call('POST', '/api/known-sizes', wanted),
  /** @param {number} number @param {number} revision */
  removeKnown: (number, revision) => call('DELETE', `/api/known-sizes/${number}?${query({ revision })}`),
  /** @param {object} wanted @returns {Promise<Done>} */
  addDimension: (wanted) => call('POST', '/api/dimensions', wanted),
  /** @param {number} id @param {number} revision */
  removeDimension: (id, revision) => call('DELETE', `/api/dimensions/${id}?${query({ revision })}`),
  /** @param {number} id @param {object} wanted @returns {Promise<Done>} */
  movePoints: (id, wanted) => call('PUT', `/api/dimensions/${id}/points`, wanted),
  /** @param {number} id @param {object} wanted @returns {Promise<Done>} */
  typeReading: (id, wanted) => call('PUT', `/api/dimensions/${id}/reading`, wanted),
  /** @param {number} id @param {object} wanted @returns {Promise<Done>} */
  decide: (id, wanted) => call('PUT', `/api/dimensions/${id}/decision`, wanted),
  /** @param {number} id @param {number} revision */
  withdraw: (id, revision) => call('DELETE', `/api/dimensions/${id}/decision?${query({ revision })}`),
  /** @param {number} id @param {object} wanted @returns {Promise<Done>} */
  setStanding: (id, wanted) => call('PUT', `/api/dimensions/${id}/standing`, wanted),
  /** @param {number} id @param {object} wanted @returns {Promise<Done>} */
  setTolerance: (id, wanted) => call('PUT', `/api/dimensions/${id}/tolerance`, wanted),
  /** @param {object} wanted @returns {Promise<Done>} */
  putAside: (wanted) => call('PUT', '/api/texts/aside', wanted),
  /** @param {object} wanted @returns {Promise<Done>} */
  changeSettings: (wanted) => call('PUT', '/api/settings', wanted),
  /** @param {number} number @param {object} wanted @returns {Promise<Done>} */
  changeKnown: (number, wanted) => call('PUT', `/api/known-sizes/${number}`, wanted),
  /** @param {number} id of the sheet @param {object} wanted @returns {Promise<Done>} */
  flatten: (id, wanted) => call('PUT', `/api/sheets/${id}/paper`, wanted),
  /** @param {number} id of the sheet @param {object} wanted @returns {Promise<Done>} */
  markFold: (id, wanted) => call('POST', `/api/sheets/${id}/folds`, wanted),
  /** @param {number} id of the sheet @param {number} number @param {object} wanted @returns {Promise<Done>} */
  changeFold: (id, number, wanted) => call('PUT', `/api/sheets/${id}/folds/${number}`, wanted),
  /** @param {number} id of the sheet @param {number} number @param {number} revision */
  removeFold: (id, number, revision) => call('DELETE', `/api/sheets/${id}/folds/${number}?${query({ revision })}`),
  /** @param {object} wanted */
  addView: (wanted) => call('POST', '/api/views', wanted),
  /** @param {number} number @param {object} wanted */
  editView: (number, wanted) => call('PUT', `/api/views/${number}`, wanted),
  /** @param {number} number @param {object} wanted */
  joinView: (number, wanted) => call('POST', `/api/views/${number}/join`, wanted),
  /** @param {number} number @param {object} wanted */
  setViewTolerance: (number, wanted) => call('PUT', `/api/views/${number}/tolerance`, wanted),
  /** @param {number} id @param {object} wanted */
  assignView: (id, wanted) => call('PUT', `/api/dimensions/${id}/view`, wanted),
  /** @param {object} wanted @returns {Promise<import('./types.js').Sum>} */
  addUp: (wanted) => call('POST', '/api/sums', wanted),
  /** @returns {Promise<{sums: import('./types.js').KeptSum[]}>} */
  sums: () => call('GET', '/api/chains'),
  /** @param {object} wanted */
  keepSum: (wanted) => call('PUT', '/api/chains', wanted),
  /** @param {string} name @param {number} revision */
  dropSum: (name, revision) => call('DELETE', `/api/chains?${query({ name, revision })}`),
  /** @returns {Promise<{links: import('./types.js').Link[]}>} */
  links: () => call('GET', '/api/links'),
  /** @param {object} wanted */
  setLink: (wanted) => call('PUT', '/api/links', wanted),
  /** @param {number} first @param {number} second @param {number} revision */
  dropLink: (first, second, revision) => call('DELETE', `/api/links?${query({ first, second, revision })}`),
  /** @returns {Promise<{parts: import('./types.js').Part[]}>} */
  parts: () => call('GET', '/api/parts'),
  /** @param {object} wanted */
  setPart: (wanted) => call('PUT', '/api/parts', wanted),
  /** @param {string} name @param {number} revision */
  dropPart: (name, revision) => call('DELETE', `/api/parts?${query({ name, revision })}`),
  /** @param {number} id of the sheet @param {object} wanted @returns {Promise<import('./types.js').Laid>} */
  layPiece: (id, wanted) => call('POST', `/api/sheets/${id}/piece`, wanted),
  /** @param {number} id of the sheet @param {object} wanted */
  keepPiece: (id, wanted) => call('PUT', `/api/sheets/${id}/pieces`, wanted),
  /** @param {string} name @param {number} revision */
  dropPiece: (name, revision) => call('DELETE', `/api/pieces?${query({ name, revision })}`),
  /** @param {number} id of the sheet @param {object} wanted @returns {Promise<import('./types.js').FoundAlike>} */
  findAlike: (id, wanted) => call('POST', `/api/sheets/${id}/alike`, wanted),
  /** @param {number} id of the sheet @param {object} wanted */
  keepCount: (id, wanted) => call('PUT', `/api/sheets/${id}/counts`, wanted),
  /** @param {string} name @param {number} revision */
  dropCount: (name, revision) => call('DELETE', `/api/counts?${query({ name, revision })}`),
  /** @returns {Promise<import('./types.js').Phone>} */
  phone: () => call('GET', '/api/phone'),
  /** @returns {Promise<import('./types.js').Phone>} */
  renewPhone: () => call('POST', '/api/phone'),
  /** @returns {Promise<import('./types.js').Phone>} */
  endPhone: () => call('DELETE', '/api/phone'),
  /** @param {number} revision @returns {Promise<Done>} */
  undo: (revision) => call('POST', '/api/undo', { revision }),
  /** @param {number} revision @returns {Promise<Done>} */
  redo: (revision) => call('POST', '/api/redo', { revision }),

  /** Whether the server is there and knows this browser. @returns {Promise<boolean>} */
  answers: () => fetch('/api/audit').then((answer) => answer.ok, () => false),

  /**
   * Listens to what happens; the browser connects again by itself when the line breaks.
   *
   * @param {Record<string, (data: any) => void>} heard by event; `open` and `lost` tell of the line
   * @returns {() => void} stops listening
   */
  listen(heard) {
    const stream = new EventSource('/api/events');
    for (const name of ['revision', 'progress', 'trouble']) {
      stream.addEventListener(name, (event) => heard[name]?.(JSON.parse(event.data)));
    }
    stream.addEventListener('open', () => heard.open?.({}));
    stream.addEventListener('error', () => heard.lost?.({ for_good: stream.readyState === EventSource.CLOSED }));
    return () => stream.close();
  },
};
