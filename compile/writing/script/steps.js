// Steps in another order.

/** moved are the changes that put a step in front of another one, or behind the last for null. Steps are those of the text in
 * their order, as {from, to}. */
export function moved(text, steps, step, before) {
  const i = steps.indexOf(step), last = steps[steps.length - 1];
  if (before === step || before === steps[i + 1] || before === null && step === last) return [];
  const words = text.slice(step.from, step.to).trimEnd();
  const put = before ? { from: before.from, to: before.from, text: `${words}\n\n` } : behind(text, last, words);
  const cut = { from: step.from, to: step.to, text: "" };
  if (step.to === text.length) {
    cut.from = text.slice(0, step.from).trimEnd().length;
    cut.text = "\n";
  }
  return cut.from < put.from ? [cut, put] : [put, cut];
}

/** behind puts words to the end of a step, with one empty line between and one behind. */
function behind(text, step, words) {
  const end = step.from + text.slice(step.from, step.to).trimEnd().length;
  return { from: end, to: step.to, text: `\n\n${words}\n${step.to < text.length ? "\n" : ""}` };
}
