// Runs before the page's own scripts: notes when the passphrase is asked for, when it was given, and
// when the list of people is whole; what is noted was painted.
(() => {
  const asks = () => document.querySelector("#passphrase") !== null;
  const whole = () => document.querySelectorAll("ul.people > li").length >= globalThis.wantedRows;
  const painted = (name) =>
    requestAnimationFrame(() =>
      setTimeout(() => {
        globalThis[name] = performance.now();
      }),
    );
  let isAsked = false;
  addEventListener(
    "submit",
    () => {
      globalThis.givenMs = performance.now();
    },
    { capture: true },
  );
  const observer = new MutationObserver(() => {
    if (asks() && !isAsked) {
      isAsked = true;
      painted("askedMs");
    }
    if (!whole()) return;
    observer.disconnect();
    painted("listMs");
  });
  observer.observe(document, { childList: true, subtree: true });
})();
