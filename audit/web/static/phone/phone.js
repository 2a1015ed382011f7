/** The page a phone sees: one picture at a time goes to the computer. Text goes in as text. */

const says = document.getElementById('says');
const pickers = /** @type {HTMLInputElement[]} */ ([...document.querySelectorAll('.picker')]);

/** @param {string} text @param {'good'|'bad'|''} [tone] */
function tell(text, tone = '') {
  says.textContent = text;
  says.className = tone;
}

/** @param {File} file */
async function send(file) {
  if (document.body.classList.contains('sending')) return;
  document.body.classList.add('sending');
  tell('Sending …');
  try {
    const answer = await fetch('photo', { method: 'POST', body: file });
    const said = await answer.json().catch(() => ({}));
    if (answer.ok) tell(`It is in the audit as “${said.name}”. You can take the next one.`, 'good');
    else tell(sentence(said.error), 'bad');
  } catch {
    tell('The computer does not answer. Is the phone on the same network, and plan-audit still running?', 'bad');
  }
  document.body.classList.remove('sending');
}

/** @param {{problem?: string, advice?: string}} [error] */
function sentence({ problem = 'the picture could not be taken', advice = 'try again' } = {}) {
  const text = advice ? `${problem}: ${advice}.` : `${problem}.`;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

for (const picker of pickers) {
  picker.addEventListener('change', () => {
    const [file] = picker.files;
    picker.value = '';
    if (file) send(file);
  });
}
