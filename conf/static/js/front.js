// The front page: from the owner's words to symptoms, and to the stop page when the words say danger.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store } = Sparkgap;
  const box = document.getElementById("sg-words");
  const ranked = document.getElementById("sg-ranked");
  const danger = document.getElementById("sg-emergency");
  const SHOWN = 6;

  function emergency(one) {
    return h("a", { class: "emergency-banner", href: Sparkgap.root + one.url }, h("b", {}, "Stop. " + one.title),
      h("ol", {}, one.now.map((step) => h("li", {}, step))), h("span", {}, "Open the stop page"));
  }

  /* The words as they were typed, for the stems that counted. */
  function typed(terms, text) {
    const said = text.split(/[^\p{L}\p{N}']+/u).filter((word) => terms.includes(Sparkgap.intake.terms(word)[0]));
    return [...new Set(said.map((word) => word.toLowerCase()))].slice(0, 6).join(", ");
  }

  function symptom(one, text) {
    const because = typed(one.because, text);
    return h("li", {}, h("a", { href: Sparkgap.root + one.url }, h("b", {}, one.title), h("span", { class: "go" }, "Guide"),
      because ? h("small", {}, "Because of: " + because) : ""));
  }

  function work() {
    const text = box.value.trim();
    store.set("complaint", text);
    if (!text) {
      danger.replaceChildren();
      return ranked.replaceChildren();
    }
    const found = Sparkgap.intake.rank(text, Sparkgap.data.intake);
    danger.replaceChildren(...found.emergencies.map(emergency));
    const best = found.symptoms.slice(0, SHOWN);
    const nothing = h("p", { class: "note" }, "No symptom fits these words yet. Say what it does and when it stops, or go by system below.");
    return ranked.replaceChildren(best.length ? h("ol", { class: "ranked" }, best.map((one) => symptom(one, text))) : nothing);
  }

  let waiting = 0;
  box.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(work, 120); });
  document.getElementById("sg-complaint").addEventListener("submit", () => { clearTimeout(waiting); work(); });
  if (box.value) work();
})();
