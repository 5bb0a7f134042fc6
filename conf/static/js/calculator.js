// The calculators of a page: a form made from the calculator's own description, results as you type.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, quantities, plate } = Sparkgap;

  function shownUnit(input) {
    return input.unit && input.unit !== "1" ? input.unit : "";
  }

  function number(si, unit) {
    return quantities.formatNumber(unit ? quantities.fromSI(si, unit) : si, 6);
  }

  function field(calculator, input, told) {
    const unit = shownUnit(input);
    const units = unit ? quantities.units(input.quantity) : [];
    const value = h("input", { inputmode: "decimal", autocomplete: "off", "data-input": input.name,
      value: input.default === null ? "" : number(input.default, unit), oninput: (event) => { event.target.dataset.own = "1"; told(); } });
    const select = units.length ? h("select", { "aria-label": "Unit of " + input.title, "data-unit": input.name },
      units.map((one) => h("option", { value: one.id, selected: one.id === unit }, one.label))) : null;
    if (select) {
      let before = unit;
      select.addEventListener("change", () => {
        try {
          value.value = number(quantities.parse(value.value, input.quantity, before).value, select.value);
        } catch { /* what does not parse stays as typed and is reported below the field */ }
        before = select.value;
        told();
      });
    }
    return h("label", { class: "field" }, input.title, h("span", { class: "with-unit" }, value, select),
      h("small", { "data-from": input.name }, input.help), h("span", { class: "wrong", "data-wrong": input.name }));
  }

  function fill(box, calculator) {
    const values = plate.current().values;
    for (const input of calculator.inputs) {
      const control = box.querySelector('[data-input="' + input.name + '"]');
      const unit = box.querySelector('[data-unit="' + input.name + '"]');
      const note = box.querySelector('[data-from="' + input.name + '"]');
      const known = input.plate && values[input.plate] !== undefined;
      if (known && !control.dataset.own) control.value = number(values[input.plate], unit ? unit.value : "");
      note.textContent = known && !control.dataset.own ? "From the data plate above." : input.help;
    }
  }

  function read(box, calculator) {
    const given = {};
    let sound = true;
    for (const input of calculator.inputs) {
      const control = box.querySelector('[data-input="' + input.name + '"]');
      const unit = box.querySelector('[data-unit="' + input.name + '"]');
      const wrong = box.querySelector('[data-wrong="' + input.name + '"]');
      wrong.textContent = "";
      if (!control.value.trim()) continue;
      try {
        given[input.name] = quantities.parse(control.value, input.quantity, unit ? unit.value : null).value;
      } catch (error) {
        wrong.textContent = error.message + (error.fix ? ": " + error.fix : "");
        sound = false;
      }
    }
    return sound ? given : null;
  }

  function show(box, calculator) {
    const given = read(box, calculator);
    const out = box.querySelector(".calc-out");
    let results = null;
    try {
      results = given && calculator.run(given);
    } catch (error) {
      const wrong = error.input && box.querySelector('[data-wrong="' + error.input + '"]');
      if (wrong) wrong.textContent = error.message + (error.fix ? ": " + error.fix : "");
      else out.dataset.failed = error.message;
    }
    for (const output of calculator.outputs) {
      const place = out.querySelector('[data-output="' + output.name + '"]');
      place.textContent = results ? quantities.both(results[output.name], output.quantity,
        { unit: output.unit && output.unit !== "1" ? output.unit : null, digits: output.digits }) : "–";
    }
  }

  function build(place) {
    const calculator = Sparkgap.calculators[place.dataset.calculator];
    const box = place.querySelector(".calc-form");
    if (!calculator || !box) return;
    const told = () => show(box, calculator);
    const outputs = calculator.outputs.map((output) => h("li", {}, output.title,
      h("output", { "data-output": output.name }), h("small", {}, output.says)));
    box.replaceChildren(h("div", { class: "calc-grid" }, calculator.inputs.map((input) => field(calculator, input, told))),
      h("ul", { class: "calc-out", "aria-live": "polite" }, outputs));
    box.hidden = false;
    const again = () => { fill(box, calculator); told(); };
    document.addEventListener("sparkgap:plate", again);
    again();
  }

  document.querySelectorAll("[data-calculator]").forEach(build);
})();
