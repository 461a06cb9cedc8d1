// The page's texts, which the server put into it, and sentences made of them.
export const say = JSON.parse(document.getElementById("marking").dataset.texts);

export const fill = (key, values) =>
  say[key].replace(/\{(\w+)\}/g, (_, name) => String(values[name]));

// When a mark was made, in words.
export function ago(at_utc) {
  const seconds = Math.max(0, Math.round((Date.now() - Date.parse(at_utc)) / 1000));
  const clock = new Date(at_utc).toLocaleTimeString(document.documentElement.lang, { hour12: false });
  if (seconds < 5) return fill("just_now", { clock });
  if (seconds < 60) return fill("seconds_ago", { count: seconds, clock });
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return fill(minutes === 1 ? "minute_ago" : "minutes_ago", { count: minutes, clock });
  return fill("at_clock", { clock });
}

// How many marks wait on this tablet, for whom, and why.
export function sending_words(records, reader, state) {
  const open = records.filter((record) => !record.sent);
  const mine = open.filter((record) => !record.refused && record.by === reader).length;
  const refused = open.filter((record) => record.refused);
  const others = open.filter((record) => record.by !== reader);
  const lines = [];
  if (mine) {
    const key = state === "no_line" ? "kept_no_line" : state === "sign_in" ? "kept_sign_in"
      : state === "not_yours" ? "kept_not_yours" : "kept";
    lines.push(fill(mine === 1 ? `${key}_one` : key, { count: mine }));
  } else {
    lines.push(state === "no_line" ? say.nothing_no_line : say.all_sent);
  }
  if (others.length) {
    lines.push(fill("kept_of", { count: others.length, who: [...new Set(others.map((r) => r.by))].join(", ") }));
  }
  if (refused.length) {
    lines.push(fill("refused", { count: refused.length, why: refused[0].refused }));
  }
  return { text: lines.join(" "), refused: refused.length };
}
