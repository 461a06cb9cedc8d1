// The assessor's page: one point at a time, five marks, and where they are.
// Order: keep, then show, then send. What is not on the disk is not shown as done.
import { addMarks, changeMarks, dropMarks, keepPlan, marksOf, planOf, takeIn } from "./mark_keep.js";
import { byTime, moment, newKey, standing } from "./mark_event.js";
import { sender } from "./mark_send.js";
import { ago, fill, say, sending_words } from "./mark_words.js";

const $ = (id) => document.getElementById(id);
const [, , , trainee, observation] = location.pathname.split("/");
const address = `/observe/of/${trainee}/${observation}`;
const BOUNCE_MS = 400; // a glove that presses twice
const PATIENCE_MS = 8000;

let plan = null;
let points = [];
let records = [];
let here = 0;
let skew_s = 0; // how far this clock is ahead of the server's, when last asked
let pressed = -BOUNCE_MS;
let state = "starting";

const other_tabs = "BroadcastChannel" in window ? new BroadcastChannel("voicecheck-observe") : null;

function made(fields) {
  const key = newKey();
  const event = { key, at_utc: moment(observation), skew_s, ...fields };
  return { key, observation, by: plan.reader, sent: false, refused: "", event };
}

async function keep(made_now, told) {
  try {
    await addMarks(made_now);
  } catch (trouble) {
    tell_trouble(fill("not_kept", { why: trouble.message || trouble.name }));
    return false;
  }
  $("trouble").hidden = true;
  records.push(...made_now);
  if (told) $("told").textContent = told;
  show();
  if (other_tabs) other_tabs.postMessage(observation);
  send();
  return true;
}

async function press(kind) {
  const now = performance.now();
  if (now - pressed < BOUNCE_MS || !plan) return;
  pressed = now;
  const point = points[here];
  const kept = await keep([made({ kind, checkpoint: point.id })], "");
  // how it was looked at is all there is to say of most points; acts and calls go on
  if (kept && ["looked", "glanced", "missed"].includes(kind)) go(here + 1);
}

const my_last = () => standing(records).filter((record) => record.by === plan.reader).pop();

async function undo() {
  const last = my_last();
  if (!last) return;
  const what = { mark: say[last.event.kind], point: title_of(last.event.checkpoint) };
  const told = fill("taken_back", what);
  if (await keep([made({ takes_back: last.key })], told)) {
    const at = points.findIndex((point) => point.id === last.event.checkpoint);
    if (at >= 0) go(at);
    $("told").textContent = told;
  }
}

// More about a mark that is made: take it back, and mark again with the time it had.
async function refine(more) {
  const last = my_last();
  if (!last) return false;
  const { key, ...event } = last.event;
  const again = made({ ...event, ...more });
  again.event.at_utc = event.at_utc;
  return keep([made({ takes_back: key }), again], "");
}

async function note() {
  const text = $("note").value.trim();
  if (text && await refine({ note: text })) {
    $("note").value = "";
    $("note-box").open = false;
  }
}

const title_of = (id) => (points.find((point) => point.id === id) || { prompt: "" }).prompt;

function go(to) {
  here = Math.min(Math.max(to, 0), points.length - 1);
  localStorage.setItem(`voicecheck-here-${observation}`, points[here].id);
  $("told").textContent = "";
  show();
}

function marks_at(id, marks) {
  const words = marks.filter((r) => r.event.checkpoint === id).map((r) => say[r.event.kind]);
  return words.length ? [...new Set(words)].join(", ") : "";
}

function show() {
  if (!plan) return;
  const marks = standing(records);
  const point = points[here];
  const zone = plan.zones[point.zone];
  $("zone").textContent = fill("zone", { zone: zone.title, number: point.zone + 1, total: plan.zones.length });
  $("point").textContent = point.prompt;
  $("seen").textContent = marks_at(point.id, marks) || say.no_mark;
  $("back").disabled = here === 0;
  $("on").disabled = here === points.length - 1;
  show_zone(zone, marks);
  show_last(marks);
  show_sending();
}

function point_button(point, marks) {
  const button = document.createElement("button");
  button.type = "button";
  const text = document.createElement("span");
  text.textContent = point.prompt;
  const done = document.createElement("strong");
  done.textContent = marks_at(point.id, marks);
  button.append(text, done);
  if (point === points[here]) button.setAttribute("aria-current", "true");
  button.addEventListener("click", () => {
    if ($("every").open) $("every").close();
    go(points.indexOf(point));
    scrollTo(0, 0);
  });
  return button;
}

function point_list(zone_points, marks) {
  return zone_points.map((point) => {
    const item = document.createElement("li");
    item.append(point_button(point, marks));
    return item;
  });
}

function show_zone(zone, marks) {
  $("zone-points").replaceChildren(
    ...point_list(points.filter((point) => plan.zones[point.zone] === zone), marks));
}

function show_every() {
  const marks = standing(records);
  $("every-zones").replaceChildren(...plan.zones.map((zone, number) => {
    const part = document.createElement("section");
    const head = document.createElement("h3");
    head.textContent = `${number + 1}. ${zone.title}`;
    const list = document.createElement("ul");
    list.className = "points";
    list.append(...point_list(points.filter((point) => point.zone === number), marks));
    part.append(head, list);
    return part;
  }));
  $("every").showModal();
  const current = $("every").querySelector("[aria-current]");
  current.focus();
  current.scrollIntoView({ block: "center" });
}

function show_last(marks) {
  const last = marks.filter((record) => record.by === plan.reader).pop();
  $("undo").disabled = !last;
  $("note-box").hidden = !last;
  $("last").hidden = !last;
  for (const box of document.querySelectorAll("[data-more-of]")) {
    box.hidden = !last || box.dataset.moreOf !== last.event.kind;
  }
  $("last-when").textContent = last ? ago(last.event.at_utc) : "";
  $("last").dataset.key = last ? last.key : "";
  if (!last) return;
  const { kind, act, severity, leak_class, note: words } = last.event;
  put("last-mark", [say[kind], act && say[act], severity && say[severity], leak_class && say[`leak_${leak_class}`]]
    .filter(Boolean).join(", "));
  put("last-point", title_of(last.event.checkpoint));
  put("last-note", words || "");
}

// A live region speaks whatever is put in, so put in only what is new.
function put(id, text) {
  if ($(id).textContent !== text) $(id).textContent = text;
}

function show_sending() {
  const { text, refused } = sending_words(records, plan.reader, state);
  $("drop").hidden = refused === 0;
  put("sending", text);
  $("sign-in").hidden = state !== "sign_in";
}

function tell_trouble(text) {
  $("trouble").textContent = text;
  $("trouble").hidden = false;
}

// Ask the server for the points and the marks that it has; keep both.
async function refresh() {
  const answer = await fetch(`${address}/plan`, {
    redirect: "manual",
    headers: { accept: "application/json" },
    signal: AbortSignal.timeout(PATIENCE_MS),
  });
  if (answer.status === 401 || answer.type === "opaqueredirect") throw told("sign_in");
  if (answer.status === 403 || answer.status === 404) throw told("not_yours");
  if (!answer.ok) throw new Error(`status ${answer.status}`);
  const whole = await answer.json();
  const { form_token, events, now_utc, ...rest } = whole;
  skew_s = (Date.now() - Date.parse(now_utc)) / 1000;
  plan = { ...rest, observation };
  await keepPlan(plan);
  await takeIn(events.map(({ by, ...event }) =>
    ({ key: event.key, observation, by, sent: true, refused: "", event })));
  await reread();
  return form_token;
}

function told(what) {
  const trouble = new Error(what);
  trouble.told = what;
  return trouble;
}

async function reread() {
  records = await marksOf(observation);
  if (plan) begin();
}

function begin() {
  // another tab may be at another point: only a new page goes where the last one was
  const at = points.length ? points[here].id : localStorage.getItem(`voicecheck-here-${observation}`);
  points = plan.zones.flatMap((zone, number) => zone.points.map((point) => ({ ...point, zone: number })));
  here = Math.max(0, points.findIndex((point) => point.id === at));
  $("unit").textContent = plan.unit;
  $("who").textContent = plan.learner;
  $("reader").textContent = fill("watched", { learner: plan.learner, reader: plan.reader });
  $("marking").hidden = false;
  $("waiting").hidden = true;
  show();
}

const send = sender(`${address}/marks`, {
  waiting: async () => {
    const open = (await marksOf(observation)).filter((r) => !r.sent && !r.refused);
    return open.filter((record) => record.by === plan.reader).sort(byTime);
  },
  sent: async (keys) => {
    await changeMarks(keys, { sent: true });
    await reread();
    if (other_tabs) other_tabs.postMessage(observation);
  },
  refused: async (key, why) => {
    await changeMarks([key], { refused: why });
    await reread();
  },
  refresh,
  measured: (measured_s) => { skew_s = measured_s; },
  tell: (now) => {
    state = now;
    if (plan) show_sending();
    else if (now === "sign_in") location.href = `/people/sign-in?to=${address}/mark`;
    else if (now !== "sending") $("waiting").textContent = say[now === "not_yours" ? "not_yours" : "no_plan"];
  },
});

async function openAgain() {
  if (!("serviceWorker" in navigator)) {
    $("reopens").textContent = say.reopens_not;
    return;
  }
  try {
    await navigator.serviceWorker.register("/observe/worker.js", { scope: "/observe/" });
    const ready = await navigator.serviceWorker.ready;
    ready.active.postMessage("refresh");
    $("reopens").textContent = say.reopens;
    if (navigator.storage && navigator.storage.persist) await navigator.storage.persist();
  } catch {
    $("reopens").textContent = say.reopens_not;
  }
}

for (const button of document.querySelectorAll("button[data-mark]")) {
  button.addEventListener("click", () => press(button.dataset.mark));
}
for (const button of document.querySelectorAll("button[data-field]")) {
  button.addEventListener("click", () => refine({ [button.dataset.field]: button.dataset.value }));
}
$("undo").addEventListener("click", undo);
$("drop").addEventListener("click", async () => {
  await dropMarks(records.filter((r) => !r.sent && r.refused).map((r) => r.key));
  await reread();
});
$("back").addEventListener("click", () => go(here - 1));
$("on").addEventListener("click", () => go(here + 1));
$("open-every").addEventListener("click", show_every);
$("close-every").addEventListener("click", () => $("every").close());
$("note-form").addEventListener("submit", (event) => {
  event.preventDefault();
  note();
});
$("sign-in").href = `/people/sign-in?to=${address}/mark`;
if (other_tabs) other_tabs.addEventListener("message", reread);
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
setInterval(() => { if (plan) show_last(standing(records)); }, 5000);

try {
  plan = await planOf(observation) || null;
  await reread();
} catch (trouble) {
  tell_trouble(fill("not_kept", { why: trouble.message || trouble.name }));
}
await send();
openAgain();
