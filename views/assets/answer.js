// While a second look is under way the page is loaded again now and then, until somebody begins to type a promise.
const refining = document.querySelector('[data-refining]');
let typing = false;
document.querySelector('main').addEventListener('input', () => {
  typing = true;
});
const AGAIN_MS = refining?.dataset.refining === 'soon' ? 1500 : 4000;
if (refining)
  setInterval(() => {
    if (!typing && !document.hidden) location.reload();
  }, AGAIN_MS);
