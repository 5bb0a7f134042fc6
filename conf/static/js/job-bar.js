// The bar of the job in hand, on every page: which job it is, another one, its clock, and what cannot be kept.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store, data, jobs, jobPhotos } = Sparkgap;
  const bar = document.getElementById("sg-job");
  const PHASES = { travel: "Travel", find: "Finding", repair: "Repair", prove: "Proving" };
  const SAID = "sparkgap.said";
  const WORKING = Boolean(document.getElementById("sg-guide") || document.getElementById("sg-jobs"));
  let typed = null; // the field that was typed in last

  // ---- names and addresses ----

  function symptomOf(job) {
    return data.symptoms[job.symptom];
  }

  /* What a person calls a job: its number, unit, and symptom or first words. */
  function nameOf(job) {
    const symptom = symptomOf(job);
    const what = symptom ? symptom.title : job.complaint.slice(0, 60) || "no complaint yet";
    return [job.number, job.unit.title || "Unit not named", what].filter(Boolean).join(" · ");
  }

  function pageOf(job) {
    const symptom = symptomOf(job);
    return Sparkgap.root + (symptom ? symptom.url : "index.html");
  }

  function go(address) {
    const here = new URL(address, location.href);
    if (here.pathname === location.pathname) location.reload();
    else location.href = here.href;
  }

  /* Take another job in hand; a page that works on one follows it. */
  function turn(id) {
    jobs.take(id);
    const record = jobs.current();
    if (document.getElementById("sg-guide")) return go(record ? pageOf(record.job) : Sparkgap.root + "index.html");
    return location.reload();
  }

  function fresh() {
    jobs.take("");
    ["plate", "complaint"].forEach((name) => store.remove(name));
    go(Sparkgap.root + "index.html");
  }

  // ---- files ----

  function fileName(job) {
    const words = [job.number, job.unit.title, job.symptom || "job", job.opened.slice(0, 10)].filter(Boolean).join(" ");
    return (words.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "").slice(0, 80) || "job") + ".job.json";
  }

  /* Hand the job over as a file. The names of the pictures that are not in it because they are not on this device. */
  async function hand(id) {
    const { job, lost } = await jobs.whole(id);
    const text = JSON.stringify(job, null, 1) + "\n";
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = h("a", { href: address, download: fileName(job), hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
    return lost;
  }

  // ---- the clock ----

  function since(clock, now = Date.now()) {
    return Math.max(0, Math.min(10000, (now - clock.since) / 60000));
  }

  /* Book what runs, and let another phase run; "" for none. */
  function run(record, phase) {
    const { clock, job } = record;
    job.minutes = job.minutes || {};
    if (clock) job.minutes[clock.phase] = Math.min(10000, Math.round(((job.minutes[clock.phase] || 0) + since(clock)) * 10) / 10);
    record.clock = phase ? { phase, since: Date.now() } : null;
  }

  function minutes(record, phase) {
    const booked = (record.job.minutes || {})[phase] || 0;
    return booked + (record.clock && record.clock.phase === phase ? since(record.clock) : 0);
  }

  // ---- notices ----

  function button(text, act, name = "") {
    return h("button", { type: "button", class: name || null, onclick: act }, text);
  }

  function note(name, says, ...buttons) {
    return h("div", { class: "job-note " + name, role: "status" }, h("p", {}, says), h("div", { class: "row" }, buttons));
  }

  function refusedNote() {
    if (!store.refused && !jobs.losing()) return "";
    const held = [...new Set([...jobs.unkept.keys(), ...[...jobPhotos.memory.keys()].map((key) => key.split("/")[0])])].filter(jobs.read);
    const exports = held.map((id) => button("Export " + nameOf(jobs.read(id).job), () => hand(id), "primary"));
    return note("storage-note", "This browser refuses to keep data: no room is left, or it is set so. What you enter is lost when you " +
      "leave this page. " + (held.length ? "Export the job now, then make room on the jobs page." : ""),
    exports, held.length ? button("Try again", () => jobs.retry().then((all) => { if (all) store.refused = false; draw(); })) : "");
  }

  function tabNote() {
    const { notice } = jobs.state;
    if (!notice) return "";
    const show = (id) => () => { jobs.take(id); location.reload(); };
    const both = () => jobs.fork(jobs.current());
    if (notice.kind === "both") {
      return note("tab-note", "This job was changed in another tab too. What you did here is kept as a job of its own.",
        button("Go on with it here", () => { jobs.state.notice = null; draw(); }), button("Show the other one", show(notice.original)));
    }
    if (notice.kind === "deleted") {
      return note("tab-note", "This job was deleted in another tab. What you add here keeps it.",
        button("Let it go", () => { jobs.take(""); location.reload(); }));
    }
    return note("tab-note", "Changed in another tab. What this page shows is older.",
      button("Show it as it is now", () => { jobs.take(notice.original); location.reload(); }, "primary"), button("Keep both", both));
  }

  function revisionNote(record) {
    const { job } = record;
    if (!job.knowledge || job.knowledge === data.digest) return "";
    return note("", "This job was worked with another revision of the knowledge: shares may differ. ",
      h("a", { class: "act-button", href: Sparkgap.root + "kb/jobs.html#sg-uncounted" }, "What does not count any more"));
  }

  /* Words typed on the front page while a job is in hand belong to neither until somebody says so. */
  function wordsNote(record) {
    const words = store.get("complaint", "").trim();
    if (!words || !record.job.complaint || words === record.job.complaint) return "";
    const begin = () => { jobs.take(""); store.remove("plate"); jobs.begin(); location.reload(); };
    return note("", "“" + words.slice(0, 80) + "” is not the complaint of the job in hand.", button("New job with these words", begin),
      button("Leave them out", () => { store.remove("complaint"); draw(); }));
  }

  /* What this tab had to say when it loaded itself anew. */
  function left() {
    try {
      const said = sessionStorage.getItem(SAID);
      sessionStorage.removeItem(SAID);
      return said || "";
    } catch {
      return "";
    }
  }

  function saidNote() {
    return jobs.state.said ? note("tab-note", jobs.state.said, button("Good", () => { jobs.state.said = ""; draw(); })) : "";
  }

  // ---- the bar ----

  function chooser(record) {
    const open = jobs.all().filter((one) => one.job.closed === null);
    const options = open.map((one) => h("option", { value: one.job.id, selected: Boolean(record) && one.job.id === record.job.id }, nameOf(one.job)));
    return h("label", { class: "job-pick" }, h("span", {}, "Job"), h("select", { id: "sg-job-pick", onchange: (event) => turn(event.target.value) },
      h("option", { value: "", selected: !record }, "None yet: it begins with the first finding"), options));
  }

  function clockOf(record) {
    const running = record.clock ? record.clock.phase : "";
    const options = Object.entries(PHASES).map(([id, title]) =>
      h("option", { value: id, selected: id === running }, title + " " + Math.round(minutes(record, id)) + " min"));
    const set = (event) => jobs.change((one) => run(one, event.target.value));
    return h("div", { class: "job-clock" + (running ? " runs" : "") }, h("select", { id: "sg-job-clock", "aria-label": "Clock", onchange: set },
      h("option", { value: "", selected: !running }, "Clock stands"), options));
  }

  function initials() {
    if (store.get("technician", "")) return "";
    return h("label", { class: "job-initials" }, h("span", {}, "Gates are signed with your initials"), h("input", { id: "sg-initials",
      maxlength: 80, autocomplete: "off", onchange: (event) => { store.set("technician", event.target.value.trim()); draw(); } }));
  }

  function draw() {
    if (!bar) return;
    const record = jobs.current();
    const some = record || jobs.all().some((one) => one.job.closed === null);
    bar.replaceChildren(some ? h("div", { class: "job-line" }, chooser(record), record ? clockOf(record) : "",
      record ? button("New job", fresh) : "", record ? h("a", { class: "act-button", href: Sparkgap.root + "kb/jobs.html#sg-sheet" }, "Job sheet") : "",
      record ? initials() : "") : "",
    refusedNote(), tabNote(), record ? revisionNote(record) : "", record ? wordsNote(record) : "", saidNote());
  }

  // ---- other tabs ----

  function busy() {
    return typed && typed.isConnected && typed.value !== "" && !typed.closest("[data-kept]");
  }

  /* What another tab has changed is shown at once, unless something here would be lost by it. */
  function elsewhere() {
    const { notice } = jobs.state;
    if (notice.kind !== "changed" || busy() || jobs.losing()) return draw();
    jobs.state.notice = null;
    if (WORKING) {
      try { sessionStorage.setItem(SAID, "Changed in another tab: this is how it stands now."); } catch { /* it is shown all the same */ }
      return location.reload();
    }
    jobs.take(notice.original);
    document.dispatchEvent(new CustomEvent("sparkgap:taken"));
    return draw();
  }

  document.addEventListener("input", (event) => { if (event.target.matches("input, textarea")) typed = event.target; });
  ["sparkgap:job", "sparkgap:refused"].forEach((name) => document.addEventListener(name, draw));
  document.addEventListener("sparkgap:elsewhere", elsewhere);
  window.addEventListener("storage", (event) => { if (event.key && event.key.startsWith(jobs.PREFIX)) draw(); });
  const words = document.getElementById("sg-words");
  if (words) words.addEventListener("input", () => setTimeout(draw, 200));

  Sparkgap.jobBar = { PHASES, nameOf, pageOf, symptomOf, turn, fresh, hand, fileName, run, minutes, since, draw, button };
  jobs.state.said = left();
  draw();
})();
