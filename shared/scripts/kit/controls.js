// Controls as the kernel asks for them: buttons, boxes to tick, lists, lines, and files to pick.

import { button, element } from "./element.js";
import { tellRecording } from "./recording.js";
import { showValue, tellOnce } from "./typed.js";

/**
 * A control, as the kernel describes it.
 * @typedef {object} Asked
 * @property {string} id
 * @property {"button" | "check" | "choice" | "text" | "file" | "copy"} kind
 * @property {string} label
 * @property {any} value
 * @property {string[]} options of a choice; of a file its kinds, sounds where they begin so
 * @property {string} enter the button that the Enter key presses in a line
 * @property {string[]} [printed] how each option is shown, where not as it is typed
 * @property {string} [row]
 * @property {string[]} [suggested] what a line may hold
 * @property {boolean} [off] whether a button or a box cannot be used at the moment
 * @property {string[]} [shut] the options of a list that cannot be chosen at the moment
 * @property {string} [hint]
 */

/**
 * What is done with controls.
 * @typedef {object} Desk
 * @property {string} own the beginning of the view's ids
 * @property {(message: object, buffers?: ArrayBuffer[]) => void} tell
 * @property {() => void} [before] what a button does first
 * @property {HTMLElement[]} rows the places where controls stand
 * @property {(each: Asked) => HTMLElement} rowOf which of them a control stands in
 * @property {() => void} [made] called when controls were made anew
 */

const SOUNDS = "audio/*";
const FILES = ".toml,.musicxml,.xml,.mxl,.abc,.mid,.midi,.lab";

/**
 * A control as it stands on the page, and the part of it that has the focus and the value.
 * @typedef {[HTMLElement, HTMLElement]} Made
 */

/**
 * Make a button.  One that cannot be used keeps the focus: nobody is thrown out of where they were.
 * @param {Asked} each
 * @param {Desk} desk
 * @returns {Made}
 */
function makeButton(each, { tell, before }) {
  const press = () => {
    if (made.getAttribute("aria-disabled") === "true") return;
    before?.();
    tell({ set: each.id, value: "" });
  };
  const made = button(each.label, press, { "data-control": each.id });
  if (each.hint) made.title = each.hint;
  return [made, made];
}

/**
 * Make a button that copies its value, and says what it did.  Where a page may not copy, the value is
 * shown to be copied by hand.
 * @param {Asked} each
 * @returns {Made}
 */
function makeCopy(each) {
  const said = element("span", { class: "hk-copied", role: "status" });
  const copy = async () => {
    const line = made.dataset.copies ?? "";
    try {
      await navigator.clipboard.writeText(line);
      said.replaceChildren("Copied. Paste it into a cell, or onto a panel of this kind.");
    } catch {
      const field = element("input", { type: "text", readonly: "", value: line, "aria-label": "the line to copy" });
      said.replaceChildren("Copy this line: ", field);
      field.focus();
      field.select();
    }
  };
  const made = button(each.label, copy, { "data-control": each.id });
  return [element("span", { class: "hk-copy" }, made, said), made];
}

/**
 * Make a button that lets a file be picked.
 * @param {Asked} each
 * @param {Desk} desk
 * @returns {Made}
 */
function makeFile(each, { tell }) {
  const hidden = { class: "hk-hidden", tabindex: "-1", "aria-hidden": "true" };
  const accept = each.options?.length ? each.options.join(",") : FILES;
  const input = element("input", { type: "file", accept, "data-file": each.id, ...hidden });
  const made = button(each.label, () => input.click(), { "data-control": each.id });
  input.addEventListener("change", async () => {
    const [file] = input.files ?? [];
    if (file && accept.startsWith(SOUNDS)) {
      made.textContent = `Reading ${file.name}`;
      await tellRecording(file, tell).finally(() => (made.textContent = each.label));
    } else if (file) tell({ file: file.name }, [await file.arrayBuffer()]);
    input.value = "";
  });
  return [element("span", {}, made, input), made];
}

/**
 * Make a box to tick.
 * @param {Asked} each
 * @param {Desk} desk
 * @returns {Made}
 */
function makeCheck(each, { tell }) {
  const field = element("input", { "data-control": each.id, type: "checkbox" });
  field.addEventListener("change", () => tell({ set: each.id, value: field.checked }));
  return [element("label", { class: "hk-check" }, field, " ", each.label), field];
}

/**
 * Make a list to choose from.
 * @param {Asked} each
 * @param {Desk} desk
 * @returns {Made}
 */
function makeChoice(each, { tell }) {
  const printed = each.printed ?? each.options;
  const options = each.options.map((value, n) => element("option", { value }, printed[n] || "–"));
  const field = element("select", { "data-control": each.id }, ...options);
  field.addEventListener("change", () => tell({ set: each.id, value: field.value }));
  return [labelled(each, field), field];
}

/**
 * Make a line to type in.
 * @param {Asked} each
 * @param {Desk} desk
 * @returns {Made}
 */
function makeLine(each, { tell, own }) {
  const line = { "data-control": each.id, type: "text", spellcheck: "false" };
  const field = element("input", line);
  const label = labelled(each, field);
  if (each.suggested?.length) {
    const options = each.suggested.map((value) => element("option", { value }));
    label.append(element("datalist", { id: `${own}${each.id}` }, ...options));
    field.setAttribute("list", `${own}${each.id}`);
  }
  const enter = each.enter ? () => tell({ set: each.enter, value: "" }) : undefined;
  tellOnce(field, () => tell({ set: each.id, value: field.value }), enter);
  return [label, field];
}

/**
 * Put a field under its label.
 * @param {Asked} each
 * @param {HTMLElement} field
 * @returns {HTMLElement}
 */
function labelled(each, field) {
  return element("label", { class: `hk-${each.kind}` }, element("span", {}, each.label), field);
}

const MAKERS = {
  button: makeButton,
  copy: makeCopy,
  file: makeFile,
  check: makeCheck,
  choice: makeChoice,
  text: makeLine,
};

/**
 * Show how a control stands.
 * @param {Asked} each
 * @param {HTMLElement} made
 * @returns {void}
 */
function showControl(each, made) {
  const field = /** @type {HTMLInputElement} */ (made);
  if (each.kind === "text") showValue(field, each.value);
  else if (each.kind === "check") showCheck(each, field);
  else if (each.kind === "choice") showChoice(each, made);
  else if (each.kind === "copy") field.dataset.copies = each.value;
  else if (each.off !== undefined) field.setAttribute("aria-disabled", String(each.off));
}

/**
 * Show how a box stands.
 * @param {Asked} each
 * @param {HTMLInputElement} field
 * @returns {void}
 */
function showCheck(each, field) {
  field.checked = each.value;
  field.disabled = Boolean(each.off);
}

/**
 * Show what is chosen in a list, and what can be.
 * @param {Asked} each
 * @param {HTMLElement} made
 * @returns {void}
 */
function showChoice({ value, shut = [] }, made) {
  const field = /** @type {HTMLSelectElement} */ (made);
  field.value = value;
  const others = [...field.options].filter((one) => one.value !== value);
  for (const one of others) one.disabled = shut.includes(one.value);
  field.disabled = others.length > 0 && others.every((one) => one.disabled);
}

/** The controls of a view; they are made anew only where there are others than before. */
export class Controls {
  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.structure = "";
    /** @type {Map<string, HTMLElement>} */
    this.fields = new Map();
  }

  /**
   * Show controls as they stand; the focus stays where it was.
   * @param {Asked[]} asked
   * @returns {void}
   */
  show(asked) {
    const parts = asked.map((each) => [
      each.id, each.kind, each.label, each.options, each.suggested, each.row,
    ]);
    const structure = JSON.stringify(parts);
    const active = [...this.fields].find(([, field]) => field === document.activeElement);
    if (structure !== this.structure) this.make(asked);
    this.structure = structure;
    for (const each of asked) showControl(each, this.field(each.id));
    // In a line that is new nobody has typed: it has the focus once its value is shown.
    if (active) this.fields.get(active[0])?.focus();
  }

  /**
   * Return the part of a control that has the focus.
   * @param {string} id
   * @returns {HTMLElement}
   */
  field(id) {
    return /** @type {HTMLElement} */ (this.fields.get(id));
  }

  /**
   * Make all controls anew.
   * @param {Asked[]} asked
   * @returns {void}
   */
  make(asked) {
    this.fields.clear();
    for (const row of this.desk.rows) row.replaceChildren();
    for (const each of asked) {
      const [made, field] = MAKERS[each.kind](each, this.desk);
      this.desk.rowOf(each).append(made);
      this.fields.set(each.id, field);
    }
    this.desk.made?.();
  }
}
