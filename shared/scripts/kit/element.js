// Elements: made, given words, and shown or not.

/**
 * Make an element; text that is empty is left out.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, string>} [attributes]
 * @param {...(string | Node)} inside
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(name, attributes = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...inside.filter((each) => each !== ""));
  return made;
}

/**
 * Make a button that does something when it is pressed.
 * @param {string} label
 * @param {() => void} does
 * @param {Record<string, string>} [attributes]
 * @returns {HTMLButtonElement}
 */
export function button(label, does, attributes = {}) {
  const made = element("button", { type: "button", ...attributes }, label);
  made.addEventListener("click", does);
  return made;
}

/**
 * Put words in a place where they are not there yet: what is read out is read out once.
 * @param {Element} place
 * @param {string} words
 * @returns {void}
 */
export function say(place, words) {
  if (place.textContent !== words) place.textContent = words;
}

/**
 * Find one element within another.
 * @param {ParentNode} root
 * @param {string} query
 * @returns {HTMLElement}
 */
export function find(root, query) {
  return /** @type {HTMLElement} */ (root.querySelector(query));
}

/**
 * Find all elements within another.
 * @param {ParentNode} root
 * @param {string} query
 * @returns {HTMLElement[]}
 */
export function findAll(root, query) {
  return [...root.querySelectorAll(query)].map((each) => /** @type {HTMLElement} */ (each));
}

/**
 * Find the element itself or the nearest around it, where something happened.
 * @param {Event} event
 * @param {string} query
 * @returns {HTMLElement | null}
 */
export function at(event, query) {
  const target = /** @type {Element} */ (event.target);
  return /** @type {HTMLElement | null} */ (target.closest(query));
}
