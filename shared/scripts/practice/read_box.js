// The last line of an essay: a box to tick once it is read, and what that does.

import { attend, lostPlace } from "../kit/attend.js";
import { element, say } from "../kit/element.js";
import { hear, keepKeys } from "../kit/widget.js";

/**
 * Show the box.
 * @param {{model: import("../kit/widget.js").Model, el: HTMLElement}} given
 * @returns {() => void} ends it
 */
function render({ model: given, el }) {
  const box = /** @type {HTMLInputElement} */ (element("input", { type: "checkbox" }));
  const said = element("span", { role: "status" });
  const label = element("label", {}, box, ` ${given.get("title")}`);
  const root = element("div", { class: "harmonykit-panel hk-read" }, label, said);
  const model = attend(given, lostPlace(root));
  const show = () => {
    box.checked = model.get("ticked");
    say(said, model.get("said"));
  };
  box.addEventListener("change", () => model.send({ tick: box.checked }));
  keepKeys(root);
  show();
  el.append(root);
  // What could not be kept is ticked in the browser alone: the answer takes it back.
  return hear(model, [["change:ticked", show], ["change:said", show], ["msg:custom", show]]);
}

export default { render };
