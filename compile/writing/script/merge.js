// Two texts that came from one.

/** difference is the one place at which two texts differ, the smallest that there is: at whole lines. */
export function difference(before, after) {
  const a = before.split("\n"), b = after.split("\n");
  let head = 0;
  while (head < a.length && head < b.length && a[head] === b[head]) head++;
  let tail = 0;
  while (tail < a.length - head && tail < b.length - head && a[a.length - 1 - tail] === b[b.length - 1 - tail]) tail++;
  return { head, to: a.length - tail, lines: b.slice(head, b.length - tail) };
}

/** change is the difference as a change of the text before, letter by letter at its ends. */
export function change(before, after) {
  let from = 0;
  const most = Math.min(before.length, after.length);
  while (from < most && before[from] === after[from]) from++;
  let back = 0;
  while (back < most - from && before[before.length - 1 - back] === after[after.length - 1 - back]) back++;
  return { from, to: before.length - back, insert: after.slice(from, after.length - back) };
}

/** merged is the text with the changes of two sides, null when both have changed one place, or places that touch. */
export function merged(base, mine, theirs) {
  if (mine === theirs || theirs === base) return mine;
  if (mine === base) return theirs;
  const m = difference(base, mine), t = difference(base, theirs);
  if (!(m.to < t.head || t.to < m.head)) return null;
  const lines = base.split("\n");
  for (const d of [m, t].sort((x, y) => y.head - x.head)) lines.splice(d.head, d.to - d.head, ...d.lines);
  return lines.join("\n");
}
