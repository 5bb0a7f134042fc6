/* Quantities as people write and read them: tools/sparkgap/quantities.py in the browser.
   Works over Sparkgap.data.units and Sparkgap.data.quantities, which the build writes; holds SI, shows US first. */
(function (global) {
  "use strict";

  const Sparkgap = (global.Sparkgap = global.Sparkgap || {});
  const LONGEST = 60;
  const NUMBER =
    /^([+-]?)(?:(?:(\d+)[ -])?(\d+)\/(\d+)|((?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?))(?![\d./])/;
  const COMMA = /^[+-]?[\d.]*,/;
  const SPACES = /[ \t\n\r\f\v\u00a0\u2007\u2009\u202f]+/g;

  class QuantityError extends Error {
    constructor(message, fix) {
      super(message);
      this.name = "QuantityError";
      this.fix = fix || "";
    }
  }

  function own(table, key) {
    return table && Object.prototype.hasOwnProperty.call(table, key) ? table[key] : undefined;
  }

  function unitOf(id) {
    const unit = own(Sparkgap.data.units, id);
    if (!unit) throw new QuantityError('"' + id + '" is not a unit that Sparkgap knows');
    return unit;
  }

  function kindOf(quantity) {
    const kind = own(Sparkgap.data.quantities, quantity);
    if (!kind) throw new QuantityError('there is no quantity "' + quantity + '"');
    return kind;
  }

  function toSI(value, unit) {
    const known = unitOf(unit);
    return value * known.factor + known.offset;
  }

  function fromSI(value, unit) {
    const known = unitOf(unit);
    return (value - known.offset) / known.factor;
  }

  function offer(kind) {
    if (kind.dimension === "1") return "write a number without a unit, or with %";
    return kind.units.length ? "write " + kind.units.join(", ") : "write one of the listed values";
  }

  /* The title of the first quantity of a dimension; a pressure that does not say its kind has none. */
  function words(dimension) {
    if (dimension === "1") return "a plain number";
    const kinds = Object.values(Sparkgap.data.quantities);
    const kind = kinds.find((one) => one.dimension === dimension);
    if (kind) return kind.title;
    return kinds.some((one) => one.dimension === dimension + " gauge") ? "pressure" : dimension;
  }

  /* The unit id of a spelling or of a shown label such as "°F". */
  function spelled(spelling, kind) {
    const known = own(Sparkgap.data.units, spelling);
    const labelled = kind.units.find((id) => Sparkgap.data.units[id].label === spelling);
    if (!known && labelled === undefined) {
      const hint = own(Sparkgap.data.hints, spelling);
      throw new QuantityError('"' + spelling + '" is not a unit that Sparkgap knows', hint || offer(kind));
    }
    const id = known ? spelling : labelled;
    if (!kind.units.includes(id)) {
      throw new QuantityError(id + " measures " + words(known.dimension) + ", not " + kind.title, offer(kind));
    }
    return id;
  }

  /* The number that a text begins with: {value, written, rest}. */
  function parseNumber(text) {
    const clean = text.replaceAll("\u2212", "-").replace(SPACES, " ").replace(/^ | $/g, "");
    if (!clean) throw new QuantityError("nothing is written", "write a number");
    if (clean.length > LONGEST) {
      throw new QuantityError("this is too long for a quantity", "write a number and a unit");
    }
    if (COMMA.test(clean)) {
      throw new QuantityError("a comma is not read", "use a point for decimals and nothing between thousands");
    }
    const match = NUMBER.exec(clean);
    if (!match) {
      throw new QuantityError('"' + clean + '" does not begin with a number',
        'write e.g. "12.5", "1/8" or "3 1/4"');
    }
    const value = numberOf(match);
    if (!Number.isFinite(value)) {
      throw new QuantityError('"' + match[0] + '" is too large', "write a number that can be measured");
    }
    return { value, written: match[0], rest: clean.slice(match[0].length).replace(/^ | $/g, "") };
  }

  function numberOf([all, sign, whole, top, bottom, decimal]) {
    const direction = sign === "-" ? -1 : 1;
    if (decimal !== undefined) return direction * Number(decimal);
    if (Number(bottom) === 0) {
      throw new QuantityError('"' + all + '" divides by zero', "write a fraction such as 1/8");
    }
    return direction * (Number(whole || 0) + Number(top) / Number(bottom));
  }

  /* {value (SI), unit, written} of a text; `unit` is meant when the text has none. Throws QuantityError. */
  function parse(text, quantity, unit) {
    const kind = kindOf(quantity);
    if (kind.dimension === "text") {
      throw new QuantityError("a choice is not a quantity", "write one of the listed values");
    }
    const number = parseNumber(text);
    let id = unit || "";
    if (number.rest) id = spelled(number.rest, kind);
    if (!id) {
      if (kind.dimension !== "1") throw new QuantityError('"' + number.written + '" has no unit', offer(kind));
      refuseLarge(number.value, number.written);
      return { value: number.value, unit: "", written: number.written };
    }
    const value = toSI(number.value, id);
    refuseLarge(value, number.written + " " + id);
    if (kind.dimension === "K temperature" && value < 0) {
      throw new QuantityError('"' + number.written + " " + id + '" is below absolute zero',
        "write a temperature that can be");
    }
    return { value, unit: id, written: number.written };
  }

  /* Beyond this a change of unit could leave what a double holds. */
  function refuseLarge(value, written) {
    if (Math.abs(value) <= 1e200) return;
    throw new QuantityError('"' + written + '" is too large', "write a number that can be measured");
  }

  /* Decimal digits of a positive number, half rounded up: {digits: "1234", exponent: of the first digit}. */
  function decimal(value, count) {
    const [mantissa, exponent] = value.toExponential(11).split("e");
    let digits = mantissa.replace(".", "");
    let first = Number(exponent);
    if (count < digits.length) {
      const up = digits[count] >= "5";
      digits = digits.slice(0, count);
      if (up) {
        digits = (BigInt(digits) + 1n).toString();
        if (digits.length > count) first += 1;
      }
    }
    return { digits: digits.replace(/0+$/, ""), exponent: first };
  }

  /* At most so many significant digits, halves away from zero, no zeros at the end, no binary noise. */
  function formatNumber(value, digits = 3) {
    if (!(digits >= 1 && digits <= 12)) throw new RangeError("digits must lie between 1 and 12");
    if (!Number.isFinite(value)) throw new RangeError(value + " cannot be shown");
    if (value === 0) return "0";
    const sign = value < 0 ? "-" : "";
    const shown = decimal(Math.abs(value), digits);
    const point = shown.exponent + 1;
    if (shown.exponent < -7 || shown.exponent >= 15) {
      const rest = shown.digits.slice(1);
      return sign + shown.digits[0] + (rest ? "." + rest : "") + "e" + shown.exponent;
    }
    if (point <= 0) return sign + "0." + "0".repeat(-point) + shown.digits;
    if (shown.digits.length <= point) return sign + shown.digits.padEnd(point, "0");
    return sign + shown.digits.slice(0, point) + "." + shown.digits.slice(point);
  }

  function withLabel(number, unit) {
    if (!unit) return number;
    return number + (unit === "%" || unit === "1" ? "" : " ") + unitOf(unit).label;
  }

  function inUnit(value, unit, digits) {
    return withLabel(formatNumber(unit ? fromSI(value, unit) : value, digits), unit);
  }

  function need(kind, unit) {
    if (!kind.units.includes(unit)) {
      throw new QuantityError(unit + " does not measure " + kind.title, offer(kind));
    }
  }

  /* An SI magnitude with its unit in the system "us" or "si". */
  function format(value, quantity, system = "us", digits = 3, unit = null) {
    const kind = kindOf(quantity);
    if (system !== "us" && system !== "si") throw new RangeError('there is no system "' + system + '"');
    if (unit) need(kind, unit);
    const own = unit && (system === "us" ? unit : unitOf(unit).si);
    return inUnit(value, own || kind[system], digits);
  }

  /* US first, SI beside: "11 in w.c. (2.74 kPa)"; `written` is the number as typed in `unit`. */
  function both(value, quantity, { unit = null, digits = 3, written = null } = {}) {
    const kind = kindOf(quantity);
    const texts = [...new Set(pair(kind, unit))].map((shown) =>
      written && shown === (unit || "") ? withLabel(written, shown) : inUnit(value, shown, digits));
    return texts.length === 1 ? texts[0] : texts[0] + " (" + texts[1] + ")";
  }

  function pair(kind, unit) {
    if (!unit) return [kind.us, kind.si];
    need(kind, unit);
    const beside = unitOf(unit).si;
    if (beside !== unit) return [unit, beside];
    return kind.us === kind.si ? [unit, unit] : [kind.us, unit];
  }

  /* The units that may be written for a quantity: [{id, label}]. */
  function units(quantity) {
    return kindOf(quantity).units.map((id) => ({ id, label: unitOf(id).label }));
  }

  Sparkgap.quantities = {
    QuantityError, parse, parseNumber, format, formatNumber, both, toSI, fromSI, units,
  };
})(globalThis);
