/** Small forms that ask for texts and numbers. */

import { byId, make } from "./view.js";

/**
 * @typedef {{ name: string, label: string, value?: string, type?: string, options?: string[] }} Field
 */

/**
 * Asks, and resolves to the texts by name; null when the editor leaves it with Escape.
 * @param {string} title
 * @param {Field[]} fields
 * @param {string} [does] what the button says
 * @returns {Promise<Record<string, string> | null>}
 */
export function ask(title, fields, does = "Take it") {
  const dialog = /** @type {HTMLDialogElement} */ (byId("ask"));
  const form = /** @type {HTMLFormElement} */ (make("form", { method: "dialog", autocomplete: "off" }));
  form.append(make("h2", { id: "asked" }, title), ...fields.map(row));
  const leave = make("button", { type: "button", value: "leave" }, "Leave it ", make("kbd", {}, "Esc"));
  form.append(make("div", { class: "bar" }, make("button", { type: "submit" }, `${does} `, make("kbd", {}, "Enter")), leave));
  dialog.setAttribute("aria-labelledby", "asked");
  dialog.replaceChildren(form);
  dialog.showModal();
  return new Promise((resolve) => {
    const close = (/** @type {Record<string, string> | null} */ result) => {
      /** @type {HTMLElement} */ (document.activeElement).blur(); // else the next key may still go into the form
      dialog.close();
      resolve(result);
    };
    leave.addEventListener("click", () => close(null));
    dialog.oncancel = () => resolve(null);
    form.addEventListener("keydown", (event) => {
      const into = /** @type {HTMLElement} */ (event.target);
      if (event.key === "Enter" && into.tagName === "TEXTAREA" && !event.shiftKey) {
        event.preventDefault();
        form.requestSubmit();
      }
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const data = new FormData(form);
      close(Object.fromEntries(fields.map(({ name }) => [name, String(data.get(name) ?? "")])));
    });
  });
}

/** Shows something until it is closed. @param {string} title @param {Node[]} content */
export function show(title, ...content) {
  const dialog = /** @type {HTMLDialogElement} */ (byId("ask"));
  const close = make("button", { type: "button" }, "Close ", make("kbd", {}, "Esc"));
  close.addEventListener("click", () => dialog.close());
  dialog.setAttribute("aria-labelledby", "asked");
  dialog.replaceChildren(make("h2", { id: "asked" }, title), ...content, make("div", { class: "bar" }, close));
  dialog.showModal();
}

export function isOpen() {
  return /** @type {HTMLDialogElement} */ (byId("ask")).open;
}

/** @param {Field} field */
function row({ name, label, value = "", type = "text", options = [] }) {
  const input = type === "long" ? make("textarea", { name, id: `ask-${name}`, rows: "3" }) : make("input", { name, id: `ask-${name}`, type });
  if (type === "number") input.setAttribute("step", "0.01");
  /** @type {HTMLInputElement} */ (input).value = value;
  const parts = [make("label", { for: `ask-${name}` }, label), input];
  if (options.length) {
    input.setAttribute("list", `list-${name}`);
    parts.push(make("datalist", { id: `list-${name}` }, ...options.map((option) => make("option", { value: option }))));
  }
  return make("div", { class: "field" }, ...parts);
}
