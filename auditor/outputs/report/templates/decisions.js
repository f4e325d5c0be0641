"use strict";
// What the reader decides, kept in this page until it is saved as one file; nothing leaves the page by itself.
const decisions = (function () {
  const WORDS = ["accept", "ask", "wrong"];
  const kept = new Map();
  let saved = true, listener = null;
  const put = (key, one) => {
    if (one.decision) kept.set(key, one); else kept.delete(key);
    saved = kept.size === 0;
    if (listener) listener();
  };
  const asText = (night) => JSON.stringify({schema: 1, night, decisions: [...kept.entries()].map(([key, one]) => ({key, ...one}))}, null, 1) + "\n";
  function save(night) {
    const link = document.createElement("a");
    const address = URL.createObjectURL(new Blob([asText(night)], {type: "application/json"}));
    link.href = address;
    link.download = "decisions.json";
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
    saved = true;
    if (listener) listener();
  }
  window.addEventListener("beforeunload", (event) => { if (!saved) { event.preventDefault(); event.returnValue = ""; } });
  return {WORDS, put, save, get: (key) => kept.get(key), count: () => kept.size, unsaved: () => !saved, onChange: (call) => { listener = call; }};
})();
