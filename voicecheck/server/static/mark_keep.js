// Keep marks on this tablet until the server has named their keys.
// IndexedDB, because tabs share it and a strict transaction that is complete
// lies on the disk (https://www.w3.org/TR/IndexedDB/): only then is a mark shown.
const NAME = "voicecheck-observe";
const VERSION = 1;
let opening = null;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const marks = asked.result.createObjectStore("marks", { keyPath: "key" });
      marks.createIndex("observation", "observation");
      asked.result.createObjectStore("plans", { keyPath: "observation" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
  return opening;
}

// Do something in one transaction; settle when it is on the disk, or was not done.
async function within(stores, mode, work) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const whole = database.transaction(stores, mode, { durability: "strict" });
    let answer;
    whole.oncomplete = () => resolve(answer && answer.result);
    whole.onabort = () => reject(whole.error);
    answer = work(whole);
  });
}

export function addMarks(records) {
  return within(["marks"], "readwrite", (whole) => {
    for (const record of records) whole.objectStore("marks").add(record);
  });
}

export function marksOf(observation) {
  return within(["marks"], "readonly", (whole) =>
    whole.objectStore("marks").index("observation").getAll(observation));
}

// Change records that are there; what another tab took away stays away.
export function changeMarks(keys, change) {
  return within(["marks"], "readwrite", (whole) => {
    const marks = whole.objectStore("marks");
    for (const key of keys) {
      const asked = marks.get(key);
      asked.onsuccess = () => {
        if (asked.result) marks.put({ ...asked.result, ...change });
      };
    }
  });
}

// Only for what the server will never take, when the assessor says so.
export function dropMarks(keys) {
  return within(["marks"], "readwrite", (whole) => {
    for (const key of keys) whole.objectStore("marks").delete(key);
  });
}

// Take in what the server already has: from another device, or an earlier day.
export function takeIn(records) {
  return within(["marks"], "readwrite", (whole) => {
    for (const record of records) whole.objectStore("marks").put(record);
  });
}

export function keepPlan(plan) {
  return within(["plans"], "readwrite", (whole) => whole.objectStore("plans").put(plan));
}

export function planOf(observation) {
  return within(["plans"], "readonly", (whole) => whole.objectStore("plans").get(observation));
}

// Forget every observation of which nothing waits to be sent; return how many marks wait.
export async function forgetSent() {
  const every = await within(["marks"], "readonly", (whole) =>
    whole.objectStore("marks").getAll());
  const waiting = every.filter((record) => !record.sent);
  const needed = new Set(waiting.map((record) => record.observation));
  await within(["marks", "plans"], "readwrite", (whole) => {
    const plans = whole.objectStore("plans");
    plans.getAllKeys().onsuccess = (event) => {
      for (const key of event.target.result) if (!needed.has(key)) plans.delete(key);
    };
    for (const record of every) {
      if (record.sent) whole.objectStore("marks").delete(record.key);
    }
  });
  return waiting.length;
}
