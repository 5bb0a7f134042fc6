// The guide of a symptom page: next act, causes with their share, what has been found. State here, engine in plan.js.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, percent, job, plate, guideCards } = Sparkgap;
  const root = document.getElementById("sg-guide");
  const model = JSON.parse(document.getElementById("sg-model").textContent);
  const view = JSON.parse(document.getElementById("sg-view").textContent);
  const NAMES = { normal: "Nothing is wrong: normal", other: "Something not listed here" };
  const LISTED = 8;
  const held = { chosen: "", before: null, gauges: new Map(), prior: null };
  let current = job.load(view.symptom);

  /* Calculators as the engine wants them: a function of the plate; null when an input is missing. */
  function calculators() {
    return Object.fromEntries(Object.entries(Sparkgap.calculators || {}).map(([id, one]) =>
      [id, (values) => one.run(Sparkgap.formulas.fromPlate(one, values))]));
  }

  function guide(evidence) {
    return Sparkgap.plan.guide(model, plate.current().values, evidence, calculators());
  }

  function title(name) {
    return NAMES[name] || (view.faults[name] ? view.faults[name].title : name);
  }

  // ---- what the person does ----

  function add(entry) {
    current.log.push(entry);
    held.chosen = "";
    keep();
  }

  function keep() {
    current.title = view.title;
    current.complaint = current.complaint || Sparkgap.store.get("complaint", "");
    draw(true);
  }

  function remember(result, folded) {
    const said = current.log.map((entry) => job.says(entry, view)).filter(Boolean);
    const answers = Object.fromEntries(current.log.filter((entry) => entry.kind === "answer" && entry.answer)
      .map((entry) => [entry.id, entry.answer]));
    const shares = ranked(result.belief).slice(0, 5).map((name) => [title(name), percent(result.belief[name])]);
    const next = folded.done ? "" : nextTitle(result.next[0]);
    job.save(view.symptom, { ...current, said, answers, shares, next });
  }

  function nextTitle(option) {
    if (!option) return "";
    if (option.kind === "check") return view.checks[option.id].ask;
    if (option.kind === "remedy") return view.remedies[option.id].title;
    return option.kind === "normal" ? "hand back as normal" : "stop, or call";
  }

  function hearsay() {
    const tick = document.getElementById("sg-hearsay");
    return Boolean(tick && tick.checked);
  }

  function actions(gid) {
    return {
      pass: (id) => { current.log.push({ kind: "gate", id }); keep(); },
      passForProof: (id) => { current.log.push({ kind: "proof-gate", id, remedy: gid }); keep(); },
      answer: (id) => add({ kind: "answer", id: gid, answer: id, v: { [id]: 1 }, hearsay: hearsay() }),
      reading: ({ result, text }) => add({ kind: "answer", id: gid, v: Sparkgap.verdict.evidence(result), reading: text,
        answer: result.verdict === "too-close" ? "" : result.verdict, text: Sparkgap.reading.SAYS[result.verdict], hearsay: hearsay() }),
      aside: (id) => add({ kind: "aside", id }),
      done: (id) => add({ kind: "done", id }),
      failed: (id) => add({ kind: "failed", id }),
    };
  }

  // ---- causes ----

  function ranked(belief) {
    return Object.keys(belief).sort((a, b) => belief[b] - belief[a] || (a < b ? -1 : 1));
  }

  function gauge(name) {
    if (held.gauges.has(name)) return held.gauges.get(name);
    const fill = h("div", { class: "fill" });
    const was = h("div", { class: "was", title: "Before any check" });
    const number = h("span", { class: "num" });
    const fault = view.faults[name];
    const label = fault ? h("a", { href: fault.url }, fault.title) : h("span", {}, title(name));
    const element = h("li", { class: "gauge" + (fault ? "" : " plain"), "data-cause": name }, h("div", { class: "line" }, label, number),
      h("div", { class: "track", "aria-hidden": "true" }, fill, was));
    fill.style.transform = "scaleX(0)";
    held.gauges.set(name, { element, fill, was, number });
    return held.gauges.get(name);
  }

  function moved(now, before) {
    const change = Math.round((now - before) * 100);
    if (!change) return "";
    return h("span", { class: "moved " + (change > 0 ? "up" : "down") }, (change > 0 ? "▲ " : "▼ ") + Math.abs(change));
  }

  function causes(list, rest, belief) {
    const order = ranked(belief);
    const large = order.slice(0, LISTED);
    list.replaceChildren(...large.map((name) => gauge(name).element));
    const small = order.filter((name) => !large.includes(name));
    rest.hidden = !small.length;
    const share = small.reduce((total, name) => total + belief[name], 0);
    rest.replaceChildren(h("summary", {}, small.length + " more, together " + percent(share)), h("ul", { class: "gauges" }, small.map((name) => gauge(name).element)));
    void list.offsetWidth; // moving an element ends its transition: let it begin again from the old share
    order.forEach((name, n) => {
      const { element, fill, was, number } = gauge(name);
      element.classList.toggle("lead", n === 0 && belief[name] >= 0.5 && Boolean(view.faults[name]));
      fill.style.transform = "scaleX(" + belief[name] + ")";
      was.style.left = "calc(" + (held.prior[name] || 0) * 100 + "% - 1px)";
      number.replaceChildren(held.before ? moved(belief[name], held.before[name] || 0) : "", percent(belief[name]));
    });
  }

  // ---- side panels ----

  function foundPanel() {
    const lines = current.log.map((entry, n) => {
      const said = job.says(entry, view);
      if (!said) return null;
      return h("li", { "data-found": entry.id || entry.part }, h("div", {}, h("small", {}, said[0]), h("b", {}, said[1])),
        h("button", { type: "button", class: "quiet", "aria-label": "Undo: " + said[0], onclick: () => undo(n) }, "Undo"));
    }).filter(Boolean);
    return h("section", { class: "panel" }, h("h2", {}, "What has been found"),
      lines.length ? h("ul", { class: "found-list" }, lines) : h("p", { class: "note" }, "Nothing yet. Answer the check, or say what has been done already."),
      lines.length ? h("button", { type: "button", class: "quiet", onclick: clear }, "Start this symptom anew") : "");
  }

  function undo(n) {
    current.log.splice(n, 1);
    held.chosen = "";
    keep();
  }

  function clear() {
    if (!globalThis.confirm("Forget everything found for this symptom on this device?")) return;
    current = { log: [], title: view.title };
    held.chosen = "";
    held.before = null;
    keep();
  }

  function replacedPanel() {
    const parts = Object.entries(view.parts);
    if (!parts.length) return "";
    const part = h("select", { id: "sg-part" }, parts.map(([id, name]) => h("option", { value: id }, name)));
    const when = h("select", { id: "sg-when" }, h("option", { value: "for-this" }, "for this complaint, no change"),
      h("option", { value: "before" }, "shortly before it began"), h("option", { value: "unknown" }, "nobody knows when"));
    return h("details", { class: "panel" }, h("summary", {}, "Parts already replaced"),
      h("label", { class: "field" }, "Part", part), h("label", { class: "field" }, "Fitted", when),
      h("p", {}, h("button", { type: "button", onclick: () => add({ kind: "replaced", part: part.value, when: when.value }) }, "Add")));
  }

  function whoPanel(result) {
    const mine = job.who();
    const ticks = Object.entries(Sparkgap.data.qualifications).map(([id, name]) => h("label", { class: "tick" },
      h("input", { type: "checkbox", value: id, checked: mine.includes(id), onchange: setWho }), name));
    const waiting = (result.needs_qualified || []).length;
    return h("details", { class: "panel", open: held.whoOpen, ontoggle: (event) => { held.whoOpen = event.target.open; } },
      h("summary", {}, "Who is working: " + (mine.map((id) => Sparkgap.data.qualifications[id]).join(", ") || "nobody qualified")),
      h("div", {}, ticks), waiting ? h("p", { class: "note" }, waiting + " checks and repairs wait for a qualification not ticked here.") : "");
  }

  function setWho(event) {
    const set = new Set(job.who());
    if (event.target.checked) set.add(event.target.value); else set.delete(event.target.value);
    Sparkgap.store.set("who", Object.keys(Sparkgap.data.qualifications).filter((id) => set.has(id)));
    draw(true);
  }

  function notices(result) {
    const said = [];
    if (result.missing.length) {
      const names = result.missing.map((name) => (Sparkgap.data.plate[name] || { title: name }).title);
      said.push(h("p", {}, h("b", {}, "Which unit is it? "), h("small", {}, "Limits, parts and times still wait for: " + names.join(", ") + ".")),
        h("button", { type: "button", onclick: () => document.getElementById("sg-plate-open").click() }, "Choose the unit"));
    }
    if (result.conflict && view.checks[result.conflict.gid]) {
      said.push(h("p", {}, h("b", {}, "These findings contradict each other. "), "The one that fits least: " + view.checks[result.conflict.gid].ask));
    }
    if (result.two) said.push(h("p", {}, h("b", {}, "Two faults together are likelier than one: "), result.two.pair.map(title).join(" and ")));
    return said.length ? h("div", { class: "warn-box wide" }, said) : "";
  }

  function dearer(option, result) {
    const more = option.value - result.next[0].value;
    return more < 0.5 ? "as good" : "+ " + guideCards.minutes(more);
  }

  function others(result, shown) {
    const open = result.next.filter((option) => option.id !== shown && option.kind !== "normal");
    const first = open.filter((option) => result.pending_first.includes(option.id));
    const rest = first.concat(open.filter((option) => !first.includes(option)).slice(0, 5));
    if (!rest.length) return "";
    return h("section", { class: "panel" }, h("h2", {}, "Or instead"), h("ul", { class: "alts" }, rest.map((option) =>
      h("li", {}, h("button", { type: "button", "data-instead": option.id, onclick: () => { held.chosen = option.id; draw(false); } },
        h("span", {}, option.kind === "call" ? "Stop, or call" : nextTitle(option)), h("small", {}, first.includes(option) ? "before firing" : dearer(option, result)))))));
  }

  // ---- drawing ----

  function nextCard(result, folded) {
    const context = { view, result, site: folded.site };
    if (folded.done) return [guideCards.done(folded.done, context), "done"];
    const option = result.next.find((one) => one.id === held.chosen) || result.next[0];
    context.proofGates = folded.proofGates.get(option.id) || new Set();
    if (option.kind === "check") return [guideCards.check(option.id, option, context, actions(option.id)), option.id];
    if (option.kind === "remedy") return [guideCards.remedy(option.id, option, context, actions(option.id)), option.id];
    return [guideCards.stop(option.kind, option, context), option.id];
  }

  const list = h("ol", { class: "gauges" });
  const rest = h("details", {});
  const live = h("p", { class: "sr", role: "status" });
  const main = h("div", { class: "guide-main" });
  const side = h("div", { class: "guide-side" });

  function draw(focus) {
    const folded = job.fold(current, model, view);
    let result;
    try {
      result = guide(folded.evidence);
    } catch (error) {
      main.replaceChildren(h("p", { class: "warn-box" }, "The guide cannot work this out: " + error.message + ". The list below still holds."));
      return;
    }
    if (!held.prior) held.prior = guide({ ...folded.evidence, results: {}, aside: [], replaced: [], failed: [] }).belief;
    const [card, shown] = nextCard(result, folded);
    main.replaceChildren(notices(result), card, folded.done ? "" : others(result, shown));
    side.replaceChildren(h("section", { class: "panel" }, h("h2", {}, "What it can be"), list, rest), foundPanel(), replacedPanel(), whoPanel(result));
    causes(list, rest, result.belief);
    const top = ranked(result.belief)[0];
    live.textContent = "Most likely: " + title(top) + ", " + percent(result.belief[top]) + ". Next: " + (card.querySelector("#sg-ask") || {}).textContent;
    if (focus && root.dataset.drawn) card.querySelector("#sg-ask").focus({ preventScroll: false });
    held.before = result.belief;
    root.dataset.drawn = "1";
    remember(result, folded);
  }

  function foldList() {
    const steps = document.getElementById("checks-in-order");
    const box = h("details", { class: "panel" }, h("summary", {}, "All checks in order, as a list"));
    steps.replaceWith(box);
    box.append(...steps.childNodes);
  }

  root.append(main, side, live);
  root.hidden = false;
  foldList();
  document.addEventListener("sparkgap:plate", () => { held.prior = null; draw(false); });
  draw(false);
})();
