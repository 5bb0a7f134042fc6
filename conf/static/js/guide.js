// The guide of a symptom page: next act, causes with their share, what has been found. State here, engine in plan.js,
// panels in guide-*.js.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, percent, job, plate, guideCards, guideCauses, guideFound, guideKnown, guideOwner, guideStops } = Sparkgap;
  const root = document.getElementById("sg-guide");
  const model = JSON.parse(document.getElementById("sg-model").textContent);
  const view = JSON.parse(document.getElementById("sg-view").textContent);
  const WORDS = {
    faults: { ...titles(view.faults), normal: "Nothing is wrong: normal", other: "Something not listed here" },
    tools: view.tools, access: titles(model.access), parts: view.parts, plate: titles(data.plate),
  };
  const OTHERS = 6;
  const held = { chosen: "", before: null, prior: null, whoOpen: false, unitOpen: false, timer: 0 };
  let current = job.load(view.symptom);

  function titles(things) {
    return Object.fromEntries(Object.entries(things).map(([id, one]) => [id, one.title]));
  }

  // ---- the engines ----

  /* Calculators as the engine wants them: a function of the plate; null when an input is missing. */
  function calculators() {
    return Object.fromEntries(Object.entries(Sparkgap.calculators || {}).map(([id, one]) =>
      [id, (values) => one.run(Sparkgap.formulas.fromPlate(one, values))]));
  }

  function guide(evidence) {
    return Sparkgap.plan.guide(model, plate.current().values, evidence, calculators());
  }

  function outlook(context, who) {
    return Sparkgap.outlook(context.sm, { ...context.evidence, who });
  }

  /* All that the cards and panels need of this moment. */
  function moment() {
    const folded = job.fold(current, model, view);
    const phone = Boolean(current.phone);
    const evidence = phone ? { ...folded.evidence, who: ["owner"] } : folded.evidence;
    const sm = Sparkgap.belief.specialise(model, plate.current().values, calculators());
    const acts = Object.fromEntries(sm.checks.concat(sm.remedies).map((act) => [act.id, act]));
    return { view, model, sm, acts, words: WORDS, phone, evidence, on, held, log: current.log, site: folded.site, done: folded.done,
      proofGates: folded.proofGates, result: guide(evidence), told: null, coming: null };
  }

  // ---- what the person does ----

  const on = {
    draw: () => draw(true),
    choose: (id) => { held.chosen = id; draw(true); },
    add: (entry) => { current.log.push(entry); held.chosen = ""; keep(); },
    pass: (id) => { current.log.push({ kind: "gate", id }); keep(); },
    unpass: (id) => remove((entry) => entry.kind === "gate" && entry.id === id),
    passForProof: (id, remedy) => { current.log.push({ kind: "proof-gate", id, remedy }); keep(); },
    answer: (gid, id, options) => on.add({ kind: "answer", id: gid, answer: id, v: { [id]: 1 }, hearsay: told(options) }),
    reading: (gid, { result }, options) => on.add({ kind: "answer", id: gid, v: Sparkgap.verdict.evidence(result), readings: result.readings,
      verdict: result.verdict, within: result.v_within, answer: result.verdict === "too-close" ? null : result.verdict, hearsay: told(options) }),
    aside: (id) => on.add({ kind: "aside", id }),
    phone: (talking) => { current.phone = talking; held.chosen = ""; held.before = null; keep(); },
    /* A finding goes as a whole: a check that was answered twice is not answered any more. */
    undo: (entry) => remove((one) => one === entry || (entry.kind === "answer" && one.kind === "answer" && one.id === entry.id) ||
      (entry.kind === "aside" && one.kind === "aside" && one.id === entry.id)),
    clear: () => {
      if (!globalThis.confirm("Begin this symptom anew? What was found so far stays in the list of jobs.")) return;
      current = { log: [], title: view.title };
      held.chosen = "";
      held.before = null;
      keep();
    },
  };

  function remove(which) {
    current.log = current.log.filter((entry) => !which(entry));
    held.chosen = "";
    keep();
  }

  /* Whether an answer counts as told: always while the owner is on the phone. */
  function told(options) {
    const tick = document.getElementById("sg-hearsay");
    return Boolean(current.phone || (options && options.hearsay) || (tick && tick.checked));
  }

  function keep() {
    current.title = view.title;
    current.complaint = current.complaint || Sparkgap.store.get("complaint", "");
    draw(true);
  }

  /* Kept with the job for the printed card. */
  function remember({ result, done }) {
    const entries = guideFound.standing(current.log);
    const said = entries.map((entry) => job.says(entry, view)).filter(Boolean);
    const answers = Object.fromEntries(entries.filter((entry) => entry.kind === "answer" && entry.answer)
      .map((entry) => [entry.id, entry.answer]));
    const shares = guideCauses.ranked(result.belief).slice(0, 5).map((name) => [WORDS.faults[name], percent(result.belief[name])]);
    job.save(view.symptom, { ...current, said, answers, shares, next: done ? "" : nextTitle(result.next[0]), belief: result.belief });
  }

  function nextTitle(option, phone) {
    if (option.kind === "check") return (phone && view.checks[option.id].ask_owner) || view.checks[option.id].ask;
    if (option.kind === "remedy") return view.remedies[option.id].title;
    return option.kind === "normal" ? "hand back as normal" : "stop, or call";
  }

  // ---- another way than the one ranked first ----

  function dearer(option, { result, acts }) {
    const { more, why } = Sparkgap.reasons.instead(option, result.next[0], acts, WORDS);
    const minutes = more > Sparkgap.reasons.SAME ? "+ " + guideCards.minutes(more) : "as good";
    return h("small", {}, h("b", {}, minutes), why.length ? ": " + why.join(", ") : "");
  }

  function others(context, shown) {
    const { result, phone } = context;
    const open = result.next.filter((option) => option.id !== shown && option.kind !== "normal" && !(phone && option.kind === "call"));
    const first = open.filter((option) => result.pending_first.includes(option.id));
    const rest = first.concat(open.filter((option) => !first.includes(option)).slice(0, OTHERS));
    if (!rest.length) return "";
    return h("section", { class: "panel" }, h("h2", {}, "Or instead"), h("ul", { class: "alts" }, rest.map((option) =>
      h("li", {}, h("button", { type: "button", "data-instead": option.id, onclick: () => on.choose(option.id) },
        h("span", {}, option.kind === "call" ? "Stop, or call" : nextTitle(option, phone)),
        first.includes(option) ? h("small", {}, "Comes first as well") : dearer(option, context))))));
  }

  // ---- drawing ----

  /* The card and the id of what it shows. */
  function nextCard(context) {
    const { result, phone } = context;
    if (context.done) return [guideStops.done(context.done, context), "done"];
    if (phone && held.chosen === "truck") return [guideOwner.truck(context, "truck"), "truck"];
    const again = view.checks[held.chosen] && context.evidence.results[held.chosen] ? held.chosen : "";
    const option = result.next.find((one) => one.id === held.chosen) || (again ? null : result.next[0]);
    if (!option || option.kind === "check") {
      const gid = option ? option.id : again;
      return [(phone ? guideOwner.ask : guideCards.check)(gid, option, context), gid];
    }
    context.proofGates = context.proofGates.get(option.id) || new Set();
    if (option.kind === "remedy") return [guideCards.remedy(option.id, option, context), option.id];
    if (phone && option.kind === "call") return [guideOwner.truck(context, "call"), "call"];
    return [guideStops[option.kind](option, context), option.id];
  }

  const live = h("p", { class: "sr", role: "status" });
  const stay = h("p", { class: "stay-line", hidden: true });
  const strip = h("section", { class: "panel strip wide" });
  const main = h("div", { class: "guide-main" });
  const side = h("div", { class: "guide-side" });

  function draw(focus) {
    clearTimeout(held.timer);
    let context;
    try {
      context = moment();
    } catch (error) {
      main.replaceChildren(h("p", { class: "warn-box" }, "The guide cannot work this out: " + error.message + ". The list below still holds."));
      return;
    }
    const { result, evidence } = context;
    if (!held.prior) held.prior = guide({ ...evidence, results: {}, aside: [], replaced: [], failed: [] }).belief;
    const [card, shown] = nextCard(context);
    strip.replaceChildren(guideFound.who(context, stay));
    main.replaceChildren(...Sparkgap.guideNotices(context), card, context.done ? "" : others(context, shown));
    guideKnown.refresh(context);
    side.replaceChildren(Sparkgap.guideUnit(context), guideCauses.panel, guideFound.found(context), guideKnown.panel, guideFound.replaced(context));
    guideCauses.show(context, held.before, held.prior);
    const top = guideCauses.ranked(result.belief)[0];
    const ask = card.querySelector("#sg-ask");
    live.textContent = "Most likely: " + WORDS.faults[top] + ", " + percent(result.belief[top]) + ". Next: " + ask.textContent;
    if (focus && root.dataset.drawn) (main.querySelector(":scope > .stop-box") || ask).focus();
    held.before = result.belief;
    root.dataset.drawn = "1";
    root.dataset.told = "";
    Sparkgap.guideNow = context;
    remember(context);
    held.timer = setTimeout(() => look(context, card, shown), 30); // the card stands before the minutes are worked out
  }

  /* What takes longer: minutes, what would come next, and on the phone what whoever comes would need. */
  function look(context, card, shown) {
    context.told = outlook(context, context.evidence.who);
    context.coming = { result: context.result, told: context.told };
    if (context.phone) {
      const who = job.who();
      context.coming = { result: guide({ ...context.evidence, who }), told: outlook(context, who) };
    }
    const { told: ahead } = context.coming;
    stay.hidden = context.done || ahead.minutes === null;
    if (!stay.hidden) {
      const said = Sparkgap.stay(ahead);
      stay.replaceChildren(h("b", {}, said.replace(/^about (\d+ min).*$/, "About $1 at the unit")), h("span", {}, said.replace(/^about \d+ min ?/, "")));
    }
    guideCauses.minutes(context.done ? null : ahead);
    guideCards.then(card, context.told, context);
    if (card.classList.contains("truck")) card.replaceWith(guideOwner.truck(context, shown));
    root.dataset.told = "1";
  }

  function foldList() {
    const steps = document.getElementById("checks-in-order");
    const box = h("details", { class: "panel" }, h("summary", {}, "All checks in order, as a list"));
    steps.replaceWith(box);
    box.append(...steps.childNodes);
  }

  root.append(strip, main, side, live);
  root.hidden = false;
  foldList();
  document.addEventListener("sparkgap:plate", () => { held.prior = null; draw(false); });
  draw(false);
})();
