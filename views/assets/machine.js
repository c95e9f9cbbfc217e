// Comfort on the page of the machines: looks again every ten seconds and shows what has changed, unless somebody is
// reading with the keyboard in it. Without this file the page reloads itself.
const EVERY_MS = 10_000;
const live = document.querySelector('[data-live]');

async function lookAgain() {
  if (document.hidden || live.contains(document.activeElement)) return;
  const answer = await fetch(location.pathname, { headers: { accept: 'text/html' } }).catch(() => undefined);
  if (!answer?.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const fresh = page.querySelector('[data-live]');
  if (fresh && fresh.innerHTML !== live.innerHTML) live.replaceChildren(...fresh.childNodes);
}

if (live) setInterval(lookAgain, EVERY_MS);
