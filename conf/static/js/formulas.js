/* The runtime of emitted formulas: the functions of tools/sparkgap/formulas, operation by operation.
   Everything is in SI. What cannot be computed throws a FormulaError with a message and a fix. */
(function (global) {
  "use strict";

  const Sparkgap = (global.Sparkgap = global.Sparkgap || {});
  const NEAR = 1e-9;

  class FormulaError extends Error {
    constructor(message, fix, name) {
      super(message);
      this.name = "FormulaError";
      this.fix = fix || "";
      this.input = name || "";
    }
  }

  function fail(message, fix) {
    throw new FormulaError(message, fix);
  }

  function finite(value) {
    if (!Number.isFinite(value)) fail("the result is too large to compute", "check the inputs");
    return value;
  }

  function divide(left, right) {
    finite(left);
    finite(right);
    if (right === 0) fail("this divides by zero", "guard it with if/else or check the inputs");
    return left / right;
  }

  function wholePower(base, power) {
    let result = power === 0 ? 1 : finite(base);
    for (let count = 1; count < Math.abs(power); count += 1) result *= base;
    if (power >= 0) return result;
    if (result === 0) fail("this divides by zero", "guard it with if/else or check the inputs");
    return 1 / result;
  }

  function power(base, exponent) {
    finite(base);
    finite(exponent);
    if (base < 0 && exponent !== Math.floor(exponent)) {
      fail("a negative number has no such power", "check the sign of the base");
    }
    if (base === 0 && exponent < 0) {
      fail("this divides by zero", "guard it with if/else or check the inputs");
    }
    return finite(Math.pow(base, exponent));
  }

  function sqrt(x) {
    if (finite(x) < 0) fail("a negative number has no square root", "check the inputs");
    return Math.sqrt(x);
  }

  function exp(x) {
    return finite(Math.exp(finite(x)));
  }

  function log(x) {
    if (finite(x) <= 0) fail("only a number above zero has a logarithm", "check the inputs");
    return Math.log(x);
  }

  function min(first, ...rest) {
    let least = finite(first);
    for (const value of rest) least = finite(value) < least ? value : least;
    return least;
  }

  function max(first, ...rest) {
    let greatest = finite(first);
    for (const value of rest) greatest = finite(value) > greatest ? value : greatest;
    return greatest;
  }

  function interpolate(tables, id, column, x) {
    const keys = tables[id].keys;
    const values = tables[id].columns[column];
    finite(x);
    if (!(keys[0] <= x && x <= keys[keys.length - 1])) {
      fail("the value lies outside the table " + id, "stay within the table");
    }
    const above = keys.findIndex((key) => key >= x);
    if (keys[above] === x) return values[above];
    const x0 = keys[above - 1];
    const y0 = values[above - 1];
    return y0 + (values[above] - y0) * ((x - x0) / (keys[above] - x0));
  }

  function same(known, key) {
    if (typeof known === "string" || typeof key === "string") return known === key;
    return Math.abs(known - key) <= NEAR * Math.max(Math.abs(known), Math.abs(key));
  }

  function lookup(tables, id, column, key) {
    if (typeof key !== "string") finite(key);
    const row = tables[id].keys.findIndex((known) => same(known, key));
    if (row < 0) fail("the table " + id + " has no such row", "use a key that the table lists");
    return tables[id].columns[column][row];
  }

  /* The values that a calculator starts from: what is given, else the default; checked against the bounds. */
  function start(calculator, given) {
    const values = Object.create(null);
    for (const constant of calculator.constants) values[constant.name] = constant.value;
    for (const name of Object.keys(given)) {
      if (!calculator.inputs.some((input) => input.name === name)) {
        throw new FormulaError('"' + name + '" is not an input of ' + calculator.title,
          "use one of: " + calculator.inputs.map((input) => input.name).join(", "), name);
      }
    }
    for (const input of calculator.inputs) values[input.name] = checked(input, given[input.name]);
    return values;
  }

  function checked(input, given) {
    const value = given === undefined || given === null ? input.default : given;
    if (value === null) throw new FormulaError(input.title + " is missing", "enter " + input.expects, input.name);
    const right = input.quantity === "choice" ? typeof value === "string" : Number.isFinite(value);
    if (!right) throw new FormulaError(input.title + " is not a number", "enter " + input.expects, input.name);
    if ((input.low !== null && value < input.low) || (input.high !== null && value > input.high)) {
      throw new FormulaError(input.title + " is out of bounds", "enter " + input.expects, input.name);
    }
    return value;
  }

  /* A calculator from its description and the body that computes steps and outputs into v. */
  function calculator(description, body) {
    description.run = function (given) {
      const values = start(description, given || {});
      body(values, description.tables, formulas);
      const results = {};
      for (const one of description.steps.concat(description.outputs)) results[one.name] = values[one.name];
      return results;
    };
    return description;
  }

  /* The inputs of a calculator that the data plate answers. */
  function fromPlate(description, plate) {
    const given = {};
    for (const input of description.inputs) {
      if (input.plate && plate[input.plate] !== undefined) given[input.name] = plate[input.plate];
    }
    return given;
  }

  const formulas = {
    FormulaError, finite, divide, wholePower, power, sqrt, exp, log, min, max, interpolate, lookup,
    abs: (x) => Math.abs(finite(x)),
    floor: (x) => Math.floor(finite(x)),
    magnitude: (x, factor, offset) => (finite(x) - offset) / factor,
    of: (number, factor, offset) => finite(number) * factor + offset,
    calculator, fromPlate,
  };
  Sparkgap.formulas = formulas;
  Sparkgap.calculators = Sparkgap.calculators || {};
})(globalThis);
