// Before anything is painted: the colours that were chosen last time.
try {
  const theme = localStorage.getItem("theme");
  if (theme) document.documentElement.dataset.theme = theme;
} catch {
  // private browsing: the system's choice
}
