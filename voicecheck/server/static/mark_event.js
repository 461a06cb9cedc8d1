// What a mark is made of, and which marks stand.

export function newKey() {
  // crypto.randomUUID asks for TLS; random bytes do not (RFC 9562, version 4)
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

// The time of this press; after the press before, even when the clock is set back.
export function moment(observation) {
  const last = Number(localStorage.getItem(`voicecheck-last-${observation}`) || 0);
  const at = Math.max(Date.now(), last + 1);
  localStorage.setItem(`voicecheck-last-${observation}`, String(at));
  return new Date(at).toISOString();
}

export const byTime = (one, other) => (one.event.at_utc < other.event.at_utc ? -1 : 1);

// Marks that were not taken back, the oldest first.
export function standing(records) {
  const undone = new Set(records.map((record) => record.event.takes_back).filter(Boolean));
  return records.filter((r) => r.event.kind && !undone.has(r.key)).sort(byTime);
}
