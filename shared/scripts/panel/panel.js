// A panel: a scene with its controls, a line of facts below it, and its sound.

import { attend, lostPlace } from "../kit/attend.js";
import { Clip } from "../kit/clip.js";
import { Controls } from "../kit/controls.js";
import { button, element, say } from "../kit/element.js";
import { hear, keepKeys, ownIds } from "../kit/widget.js";
import { Scene } from "./scene.js";

const HEARD = { role: "status", "aria-live": "polite" };

/**
 * Make the places of a panel.
 * @param {string} title
 */
function makePlaces(title) {
  const places = {
    lead: element("p", { class: "hk-lead", ...HEARD }),
    bar: element("div", { class: "hk-controls", role: "group", "aria-label": "controls" }),
    // What was wrong with a control, once more where that stands; it is read aloud below the figure.
    near: element("p", { class: "hk-near", "aria-hidden": "true", hidden: "" }),
    figure: element("div", { class: "hk-figure" }),
    facts: element("p", { class: "hk-facts", ...HEARD }),
    foot: element("div", { class: "hk-controls hk-foot" }),
  };
  const root = element(
    "div",
    { class: "harmonykit-panel", role: "group", "aria-label": title },
    ...Object.values(places),
  );
  return { root, ...places };
}

/** A panel in one view. */
class Panel {
  /** @param {import("../kit/widget.js").Model} given */
  constructor(given) {
    const own = ownIds("hk");
    this.places = makePlaces(given.get("title"));
    const { root, bar, figure, foot } = this.places;
    const model = attend(given, lostPlace(root));
    this.isOfControl = false;
    const tell = (/** @type {object} */ message, /** @type {ArrayBuffer[]} */ buffers = []) => {
      this.isOfControl = "set" in message;
      model.send(message, undefined, buffers);
    };
    this.model = model;
    this.clip = new Clip();
    this.scene = new Scene(figure, own, (press) => tell({ press }));
    const rowOf = (/** @type {{id: string}} */ each) => (each.id === "share" ? foot : bar);
    this.controls = new Controls({ own, tell, rows: [bar, foot], rowOf });
    this.updates = 0;
    figure.before(this.makeEnlarge());
    root.append(this.clip.audio);
    keepKeys(root);
    root.addEventListener("paste", (event) => this.paste(event));
  }

  /**
   * Make the button by which the picture is wider than a small screen; at first it fits.
   * @returns {HTMLElement}
   */
  makeEnlarge() {
    const { figure } = this.places;
    const turn = () => {
      const large = figure.classList.toggle("hk-large");
      if (large) figure.setAttribute("tabindex", "0");
      else figure.removeAttribute("tabindex");
      say(made, large ? "Fit the picture to the screen" : "Enlarge the picture");
    };
    const made = button("Enlarge the picture", turn, { class: "hk-enlarge" });
    return made;
  }

  /**
   * Put in the picture, and show how it stands.
   * @returns {void}
   */
  build() {
    const [scene, mark, letters] = ["scene", "mark_id", "letters"].map((name) => this.model.get(name));
    this.scene.put(scene, mark, letters);
    this.update();
  }

  /**
   * Show how all stands.
   * @returns {void}
   */
  update() {
    const { root, lead, facts, near } = this.places;
    const shown = this.model.get("shown");
    this.scene.show(shown, this.model.get("title"));
    say(facts, shown.trouble || shown.facts);
    facts.classList.toggle("wrong", Boolean(shown.trouble));
    near.hidden = !(shown.trouble && this.isOfControl);
    say(near, shown.trouble);
    say(lead, shown.lead);
    lead.hidden = !shown.lead;
    this.updates += 1;
    root.dataset.count = String(this.updates);
  }

  /**
   * Show the controls.
   * @returns {void}
   */
  set() {
    this.controls.show(this.model.get("controls"));
  }

  /**
   * Take on the state of a line that was copied from a panel; in a line to type in it is text.
   * @param {ClipboardEvent} event
   * @returns {void}
   */
  paste(event) {
    const line = event.clipboardData?.getData("text") ?? "";
    if (/** @type {Element} */ (event.target).matches("input, textarea") || !line.includes("from_text(")) return;
    event.preventDefault();
    this.model.send({ set: "share", value: line });
  }

  /**
   * Play a sound that was sent.
   * @param {{sound?: number}} message how long it is, in seconds
   * @param {BlobPart[]} buffers
   * @returns {void}
   */
  play({ sound }, buffers) {
    if (sound === undefined) return;
    const { root, facts } = this.places;
    root.dataset.sound = String(sound);
    delete root.dataset.played;
    this.clip.take(buffers[0]);
    const begun = (/** @type {number} */ seconds) => (root.dataset.played = String(seconds));
    this.clip.play(0, begun, (trouble) => say(facts, trouble));
  }
}

/**
 * Show a panel, and tell the kernel what is pressed and set.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model, el }) {
  const panel = new Panel(model);
  el.append(panel.places.root);
  panel.build();
  panel.set();
  const end = hear(panel.model, [
    ["change:scene", () => panel.build()],
    ["change:shown", () => panel.update()],
    ["change:controls", () => panel.set()],
    ["msg:custom", (message, buffers) => panel.play(message, buffers)],
  ]);
  return () => {
    end();
    panel.clip.forget();
  };
}

export default { render };
