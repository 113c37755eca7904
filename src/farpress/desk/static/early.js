// Before anything is drawn: the look that was chosen last, or the one the machine asks for.
(() => {
  const kept = (() => { try { return localStorage.getItem("look"); } catch { return null; } })();
  document.documentElement.dataset.theme = kept || (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
})();
