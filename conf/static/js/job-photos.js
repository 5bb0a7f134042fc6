// The pictures of jobs, kept in the browser's database apart from the texts: these must be at hand while a page is drawn,
// and pictures are too large for that store. What the browser refuses to keep stays in memory, and is said.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const memory = new Map(); // key -> data of what could not be kept
  let opened = null;

  function database() {
    opened = opened || new Promise((yes, no) => {
      const asked = indexedDB.open("sparkgap", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("photos");
      asked.onsuccess = () => yes(asked.result);
      asked.onerror = () => no(asked.error);
      asked.onblocked = () => no(new Error("blocked"));
    });
    return opened;
  }

  /* Run work(store) in one transaction: all of it is kept or none. The result of the request that it gives back. */
  async function within(mode, work) {
    const base = await database();
    return new Promise((yes, no) => {
      const transaction = base.transaction("photos", mode, { durability: "strict" });
      const asked = work(transaction.objectStore("photos"));
      transaction.oncomplete = () => yes(asked && asked.result);
      transaction.onabort = () => no(transaction.error);
      transaction.onerror = () => no(transaction.error);
    });
  }

  function range(job) {
    return IDBKeyRange.bound(job + "/", job + "0"); // 0 comes right after the stroke
  }

  /* Keep pictures {name: data} of a job. False when the browser refuses; they are in memory then. */
  async function put(job, pictures) {
    const entries = Object.entries(pictures).map(([name, data]) => [job + "/" + name, data]);
    try {
      await within("readwrite", (held) => { entries.forEach(([key, data]) => held.put(data, key)); });
      entries.forEach(([key]) => memory.delete(key));
      return true;
    } catch {
      entries.forEach(([key, data]) => memory.set(key, data));
      document.dispatchEvent(new CustomEvent("sparkgap:refused"));
      return false;
    }
  }

  /* The pictures of a job as {name: data}. */
  async function get(job) {
    const found = {};
    try {
      const keys = await within("readonly", (held) => held.getAllKeys(range(job)));
      const data = await within("readonly", (held) => held.getAll(range(job)));
      keys.forEach((key, n) => { found[key.slice(job.length + 1)] = data[n]; });
    } catch { /* what is in memory is all there is */ }
    for (const [key, data] of memory) if (key.startsWith(job + "/")) found[key.slice(job.length + 1)] = data;
    return found;
  }

  /* Forget one picture, or all of the job. */
  async function remove(job, name = null) {
    for (const key of [...memory.keys()]) if (name === null ? key.startsWith(job + "/") : key === job + "/" + name) memory.delete(key);
    try {
      await within("readwrite", (held) => { held.delete(name === null ? range(job) : job + "/" + name); });
    } catch { /* nothing was kept, so nothing stays */ }
  }

  Sparkgap.jobPhotos = { put, get, remove, memory };
})();
