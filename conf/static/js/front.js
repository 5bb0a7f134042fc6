// The front page: from the owner's words to danger, refusals, symptoms, and what the words say of the unit.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store } = Sparkgap;
  const box = document.getElementById("sg-words");
  const ranked = document.getElementById("sg-ranked");
  const danger = document.getElementById("sg-emergency");
  const refused = document.getElementById("sg-refusal");
  const heard = document.getElementById("sg-heard");
  const SHOWN = 6;

  function emergency(one) {
    return h("a", { class: "emergency-banner", href: Sparkgap.root + one.url }, h("b", {}, "Stop. " + one.title),
      h("ol", {}, one.now.map((step) => h("li", {}, step))), h("p", {}, one.call),
      h("small", {}, "From: " + one.because), h("span", {}, "Open the stop page"));
  }

  function refusal(one) {
    return h("section", { class: "refusal-banner", "data-refusal": one.id }, h("h2", {}, one.title), h("p", {}, one.why),
      h("h3", {}, "The right way"), h("ol", {}, one.instead.map((step) => h("li", {}, step))),
      h("p", {}, h("small", {}, "From: " + one.because + ". "), h("a", { href: Sparkgap.root + one.url }, "All that is not done, and why")));
  }

  function symptom(one) {
    return h("li", {}, h("a", { href: Sparkgap.root + one.url }, h("b", {}, one.title), h("span", { class: "go" }, "Guide"),
      h("small", {}, "Because of: " + one.because.join(", "))));
  }

  /* What to do when no symptom fits: the systems that were named, or all there are. */
  function nothing(systems) {
    const line = (one) => h("li", {}, one.symptoms
      ? h("a", { href: "#system-" + one.id }, one.title)
      : h("span", {}, one.title + ": nothing here yet"));
    return h("div", { class: "note" },
      h("p", {}, "No symptom fits these words. Say what it does and when it stops, or go by system:"),
      h("ul", { class: "tags" }, systems.map(line)));
  }

  function onPlate(one) {
    const put = (event) => {
      Sparkgap.plate.put(one.name, one.text);
      event.target.replaceWith(h("span", {}, one.title + " " + one.text + " is on the data plate"));
    };
    return h("li", {}, h("button", { type: "button", "data-plate": one.name, onclick: put },
      "Put " + one.text + " on the data plate as " + one.title.toLowerCase()));
  }

  function facts(found) {
    const plates = found.plate.map((one) => one.text);
    const readings = found.facts.filter((one) => !plates.includes(one.text)).map((one) => one.text);
    if (!found.facts.length) return [];
    return [h("ul", { class: "heard" }, found.plate.map(onPlate),
      readings.length ? h("li", {}, "Heard, to be measured again as readings: " + [...new Set(readings)].join(", ")) : "")];
  }

  function work() {
    const text = box.value.trim();
    store.set("complaint", text);
    const parts = [danger, refused, ranked, heard];
    if (!text) return parts.forEach((part) => part.replaceChildren());
    const found = Sparkgap.intake.rank(text, Sparkgap.data.intake);
    danger.replaceChildren(...found.emergencies.map(emergency));
    refused.replaceChildren(...found.refusals.map(refusal));
    ranked.replaceChildren(found.symptoms.length
      ? h("ol", { class: "ranked" }, found.symptoms.slice(0, SHOWN).map(symptom)) : nothing(found.systems));
    heard.replaceChildren(...facts(found));
    return undefined;
  }

  let waiting = 0;
  box.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(work, 60); });
  document.getElementById("sg-complaint").addEventListener("submit", () => { clearTimeout(waiting); work(); });
  setTimeout(() => Sparkgap.intake.prepare(Sparkgap.data.intake), 0);
  if (box.value) work();
})();
