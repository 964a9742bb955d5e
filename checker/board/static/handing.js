// @ts-check
/** What is handed over: report, packet, order list, site file; and what a packet asks of the job. */

import { words } from "./kinds.js";
import { call, file } from "./server.js";
import { button, byId, el, filled, row, typed } from "./view/elements.js";

/** What a packet says of the job, by the keys of the site file. @type {[string, string[]][]} */
const JOB = [
  ["Site address", ["address"]],
  ["Parcel or tax number", ["parcel"]],
  ["Lot and block", ["legal"]],
  ["What is to be built", ["request"]],
  ["Owner's name", ["owner", "name"]],
  ["Owner's phone", ["owner", "phone"]],
  ["Owner's email", ["owner", "email"]],
  ["Preparer's name", ["preparer", "name"]],
  ["Preparer's firm", ["preparer", "company"]],
  ["Preparer's licence", ["preparer", "licence"]],
  ["Surveyor", ["survey", "by"]],
  ["Date of the survey, as 2026-01-31", ["survey", "date"]],
];

/** The ending of a file by its kind. @type {Record<string, string>} */
const ENDINGS = {
  "text/html": ".html", "text/csv": ".csv", "application/pdf": ".pdf",
  "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": ".xlsx",
};

const LOOKED_FOR = ["easement", "well", "septic-tank", "septic-field", "tree", "utility", "wetland", "shoreline", "stream", "slope-toe"];

/** @param {any} state @param {{change: any, refuse: any, say: any}} base */
export function handingOf(state, { change, refuse, say }) {
  /** @param {Blob} blob @param {string} name */
  function handOver(blob, name) {
    const link = el("a", { href: URL.createObjectURL(blob), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  /** @param {string} path @param {string} name @param {string} said */
  async function fetched(path, name, said) {
    try {
      const found = await file(path);
      handOver(found, name + (ENDINGS[found.type.split(";")[0]] ?? ""));
      say(said);
    } catch (wrong) { await refuse(wrong); }
  }

  /** @param {string[]} keys */
  const given = (keys) => keys.reduce((/** @type {any} */ found, key) => found?.[key], state.plan.project) ?? "";

  /** @param {string[]} keys @param {string} value */
  const set = (keys, value) =>
    change({ kind: "set", list: "", id: "", field: ["project", ...keys], value: value || null, was: given(keys) || null });

  /** @param {string} name @param {boolean} isOn */
  function looked(name, isOn) {
    const was = state.plan.none_found;
    const value = isOn ? [...was, name] : was.filter((/** @type {string} */ other) => other !== name);
    change({ kind: "set", list: "", id: "", field: ["none_found"], value: value.length ? value : null, was: was.length ? was : null });
  }

  /** @param {string} name */
  function lookedFor(name) {
    const isDrawn = [...state.plan.features, ...state.plan.regions].some((/** @type {any} */ thing) => [thing.kind, thing.id].includes(name));
    return el("label", { class: "tick" },
      el("input", { type: "checkbox", checked: state.plan.none_found.includes(name), disabled: isDrawn, change: (/** @type {any} */ e) => looked(name, e.target.checked) }),
      `${words(name)}${isDrawn ? ": drawn" : ""}`);
  }

  async function write() {
    filled(byId("packet-said"), el("p", {}, "Writing the permit packet ..."));
    try {
      const date = byId("packet-date").value.trim();
      const found = await call("/packet", { revision: state.plan.revision, date });
      say(`Written to the folder ${found.folder}: ${found.files.length} files.`);
      filled(byId("packet-said"),
        el("p", {}, `Written to the folder ${found.folder}: ${found.files.join(", ")}.`),
        el("p", {}, found.missing.length ? "An office would still ask for:" : "Nothing that must be there is missing."),
        el("ul", {}, ...found.missing.map(stillAsked)));
    } catch (wrong) {
      filled(byId("packet-said"));
      await refuse(wrong);
    }
  }

  /** What an office would still ask for. @param {{says: string, document: string}} one */
  function stillAsked({ says, document }) {
    if (!document) return el("li", {}, says);
    const entry = { kind: "put", list: "on_file", entry: { document } };
    const put = button("It is on file", (e) => change(entry).then((/** @type {boolean} */ done) => { if (done) e.target.replaceWith("on file now"); }));
    return el("li", {}, `${says} `, put);
  }

  return {
    report: () => fetched("/report", "report", "The report is ready."),
    client: () => fetched("/client", "for-the-client", "The page for the client is ready."),
    orders: () => fetched("/orders", "order-list", "The order list is ready."),
    text: () => fetched("/text", state.plan.file, "The site file is ready."),
    packet() {
      byId("packet-room").hidden = false;
      filled(byId("packet"),
        el("div", { class: "columns" },
          el("div", {}, ...JOB.map(([title, keys]) => {
            const id = `packet-${keys.join("-")}`;
            return row(id, title, typed(id, given(keys), (v) => set(keys, v)));
          })),
          el("div", {},
            el("fieldset", {}, el("legend", {}, "Looked for on the lot, and not there"),
              ...LOOKED_FOR.map(lookedFor)),
            row("packet-date", "Date of the set, as 2026-01-31", typed("packet-date", "")),
            el("div", { class: "buttons" }, button("Write the packet", write)),
            el("div", { id: "packet-said", "aria-live": "polite" }))));
      byId("packet-title").scrollIntoView({ block: "start" });
      byId("packet-address").focus({ preventScroll: true });
    },
  };
}
