/**
 * Sign, colour class and word of a sum. Shape and colour together, never colour alone. No DOM here.
 *
 * @param {boolean|null|undefined} closes null: there is nothing to come to
 * @returns {{sign: string, tone: string, word: string}}
 */
export function sumSign(closes) {
  if (closes === true) return { sign: '○', tone: 'agrees', word: 'closes' };
  if (closes === false) return { sign: '◆', tone: 'disagrees', word: 'does not close' };
  return { sign: '=', tone: 'soft', word: 'only a sum' };
}
