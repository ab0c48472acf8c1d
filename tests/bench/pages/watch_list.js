// Runs before the page's own scripts: notes when the list of people is whole and was painted.
(() => {
  const whole = () => document.querySelectorAll("ul.people > li").length >= globalThis.wantedRows;
  const painted = () =>
    requestAnimationFrame(() =>
      setTimeout(() => {
        globalThis.listMs = performance.now();
      }),
    );
  const observer = new MutationObserver(() => {
    if (!whole()) return;
    observer.disconnect();
    painted();
  });
  observer.observe(document, { childList: true, subtree: true });
})();
