// The jobs on this device. Each lies in the browser's local store under its id, whole but for its pictures, so that one
// write keeps all of a change or nothing of it and a page has it at hand while it is drawn. A counter tells whether another
// tab has written in between: nothing is ever written over, the later tab keeps a job of its own.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { store, data, jobPhotos } = Sparkgap;
  const PREFIX = "sparkgap.jobs.";
  const LIMIT = { complaint: 4000, note: 2000, log: 1000 };
  const unkept = new Map(); // id -> record that the browser did not take: it lives as long as this page
  const seen = new Map(); // id -> counter of the record that this page has read or written last
  const state = { notice: null };
  let live = null;

  function announce(name) {
    document.dispatchEvent(new CustomEvent("sparkgap:" + name));
  }

  function time(moment = new Date()) {
    return moment.toISOString();
  }

  function newId() {
    const random = [...crypto.getRandomValues(new Uint8Array(6))].map((one) => (one % 36).toString(36)).join("");
    return time().slice(0, 10) + "-" + random;
  }

  // ---- one record ----

  function stored(id) {
    try {
      const record = JSON.parse(localStorage.getItem(PREFIX + id));
      return record && record.job && Array.isArray(record.job.log) ? record : null;
    } catch {
      return null;
    }
  }

  function read(id) {
    return unkept.get(id) || stored(id);
  }

  function ids() {
    let names = [];
    try { names = Object.keys(localStorage); } catch { /* refused: only what this page holds */ }
    const found = names.filter((name) => name.startsWith(PREFIX)).map((name) => name.slice(PREFIX.length));
    return [...new Set([...found, ...unkept.keys()])];
  }

  /* All records, the last changed first. Those that cannot be read are left out; see damaged. */
  function all() {
    return ids().map(read).filter(Boolean).sort((a, b) => a.job.changed < b.job.changed ? 1 : -1);
  }

  function damaged() {
    return ids().filter((id) => !read(id));
  }

  /* Keep a record. True when the browser took it; otherwise it stays in memory and the page says so. */
  function put(record) {
    const id = record.job.id;
    record.n = (record.n || 0) + 1;
    seen.set(id, record.n);
    try {
      localStorage.setItem(PREFIX + id, JSON.stringify(record));
      unkept.delete(id);
      return true;
    } catch {
      unkept.set(id, record);
      announce("refused");
      return false;
    }
  }

  /* Try once more to keep what the browser refused. */
  async function retry() {
    for (const record of [...unkept.values()]) put(record);
    for (const [key, picture] of [...jobPhotos.memory]) {
      const cut = key.indexOf("/");
      await jobPhotos.put(key.slice(0, cut), { [key.slice(cut + 1)]: picture });
    }
    announce("job");
    return !unkept.size && !jobPhotos.memory.size;
  }

  function losing() {
    return unkept.size > 0 || jobPhotos.memory.size > 0;
  }

  // ---- the job in hand ----

  function handed() {
    try {
      const here = sessionStorage.getItem("sparkgap.in-hand");
      if (here !== null) return here;
    } catch { /* this tab cannot keep its own */ }
    return store.get("in-hand", "");
  }

  /* Take a job in hand in this tab, and in the tabs that are opened from now on; "" for none. */
  function take(id) {
    store.set("in-hand", id);
    try { sessionStorage.setItem("sparkgap.in-hand", id); } catch { /* the other tabs' job is this tab's too */ }
    live = null;
  }

  /* The record of the job in hand, or null. */
  function current() {
    const id = handed();
    if (!id) return null;
    if (live && live.job.id === id) return live;
    const record = read(id);
    live = record && record.job.closed === null ? record : null;
    if (live) seen.set(id, live.n);
    return live;
  }

  function blank(keys = {}) {
    const now = time();
    return { n: 0, written: {}, clock: null, job: { format: "sparkgap-job", version: 1, id: newId(), opened: now, changed: now,
      closed: null, number: "", technician: store.get("technician", ""), who: store.get("who", ["technician"]), owner: {},
      unit: { id: null, title: "", plate: {} }, complaint: "", symptom: null, knowledge: data.digest, log: [], photos: [],
      minutes: {}, outcome: null, ...keys } };
  }

  /* The owner's words, and as notes what is too long for them. */
  function complain(job, text) {
    const signs = [...text];
    job.complaint = signs.slice(0, LIMIT.complaint).join("");
    for (let from = LIMIT.complaint; from < signs.length; from += LIMIT.note) {
      job.log.push({ kind: "note", at: time(), text: signs.slice(from, from + LIMIT.note).join("") });
    }
  }

  function fill(record, plate) {
    const { unit } = record.job;
    const shipped = data.shipped[plate.unit];
    const foreign = Object.entries(unit.plate).filter(([name]) => !data.plate[name]);
    if (shipped) unit.title = shipped.title;
    else if (unit.id && data.shipped[unit.id] && unit.title === data.shipped[unit.id].title) unit.title = "";
    unit.id = plate.unit || null;
    unit.plate = { ...Object.fromEntries(foreign), ...(shipped ? shipped.plate : {}), ...plate.values };
    record.written = { ...(shipped ? shipped.written : {}), ...plate.written };
  }

  /* Begin a job with the unit and the words that are on the page, and take it in hand. */
  function begin() {
    const record = blank();
    const plate = store.get("plate", null);
    if (plate) fill(record, plate);
    complain(record.job, store.get("complaint", ""));
    put(record);
    take(record.job.id);
    live = record;
    ["plate", "complaint"].forEach((name) => store.remove(name));
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => false);
    announce("job");
    return record;
  }

  /* A job of its own from what this page holds, beside the one that another tab has changed. */
  function fork(record) {
    const original = record.job.id;
    const copy = structuredClone(record);
    Object.assign(copy, { n: 0 });
    copy.job.id = newId();
    jobPhotos.get(original).then((pictures) => jobPhotos.put(copy.job.id, pictures));
    put(copy);
    take(copy.job.id);
    live = copy;
    state.notice = { kind: "both", original, copy: copy.job.id };
    announce("job");
    return copy;
  }

  /* Change the job in hand (one is begun when there is none) and keep it at once. True when it is kept or nothing changed. */
  function change(work) {
    const before = current() || begin();
    const next = structuredClone(before);
    work(next);
    if (JSON.stringify(next) === JSON.stringify(before)) return true;
    next.job.changed = time();
    const there = stored(next.job.id);
    if (there && there.n !== seen.get(next.job.id) && !unkept.has(next.job.id)) return Boolean(fork(next));
    live = next;
    const kept = put(next);
    announce("job");
    return kept;
  }

  /* Put a whole job (of a file, or a copy) on this device, its pictures first. {kept, record}. */
  async function add(job, more = {}) {
    const { photos = [], ...rest } = structuredClone(job);
    const pictures = Object.fromEntries(photos.filter((photo) => photo.data).map((photo) => [photo.name, photo.data]));
    const kept = !Object.keys(pictures).length || await jobPhotos.put(rest.id, pictures);
    const old = stored(rest.id);
    const record = { n: old ? old.n : 0, written: {}, clock: null, ...more,
      job: { ...rest, photos: photos.map(({ data: _, ...photo }) => photo) } };
    const whole = put(record) && kept;
    if (live && live.job.id === rest.id) live = null;
    announce("job");
    return { kept: whole, record };
  }

  async function forget(id) {
    unkept.delete(id);
    try { localStorage.removeItem(PREFIX + id); } catch { /* nothing was kept, so nothing stays */ }
    store.remove("card." + id);
    await jobPhotos.remove(id);
    if (handed() === id) take("");
    announce("job");
  }

  /* The job with its pictures, as a file holds it, and the names of the pictures that are not on this device any more. */
  async function whole(id) {
    const { job } = read(id);
    const pictures = job.photos && job.photos.length ? await jobPhotos.get(id) : {};
    const photos = (job.photos || []).filter((photo) => pictures[photo.name]);
    const lost = (job.photos || []).filter((photo) => !pictures[photo.name]).map((photo) => photo.name);
    return { job: { ...job, photos: photos.map((photo) => ({ ...photo, data: pictures[photo.name] })) }, lost };
  }

  // ---- other tabs ----

  function elsewhere(event) {
    const mine = current();
    if (!mine || event.key !== PREFIX + mine.job.id) return;
    if (event.newValue === null) state.notice = { kind: "deleted", original: mine.job.id };
    else if (JSON.parse(event.newValue).n === seen.get(mine.job.id)) return;
    else state.notice = { kind: "changed", original: mine.job.id };
    announce("elsewhere");
  }

  window.addEventListener("storage", elsewhere);
  window.addEventListener("beforeunload", (event) => { if (losing()) event.preventDefault(); });

  Sparkgap.jobs = { LIMIT, state, time, newId, read, all, damaged, put, retry, losing, handed, take, current, blank, complain, fill,
    begin, fork, change, add, forget, whole, unkept, PREFIX };
})();
