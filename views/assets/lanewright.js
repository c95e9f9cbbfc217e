// Comfort only: every page works without this file.
// "/" goes to the search box; a form that is on its way cannot be sent twice.
document.addEventListener('keydown', (event) => {
  const typing = /^(INPUT|TEXTAREA|SELECT)$/.test(document.activeElement?.tagName ?? '');
  if (event.key !== '/' || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  document.getElementById('find')?.focus();
});

document.addEventListener('submit', (event) => {
  const form = event.target;
  if (form.method !== 'post') return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = 'yes';
  for (const button of form.querySelectorAll('button')) button.setAttribute('aria-disabled', 'true');
});

// Coming back with the browser's back button shows the page as it was left: let it be sent again.
window.addEventListener('pageshow', () => {
  for (const form of document.forms) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll('button')) button.removeAttribute('aria-disabled');
  }
});
