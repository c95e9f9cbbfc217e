// Comfort on the plan pages: a product's tick mirrors its orders, and a plan that is being made shows how far it is.
// Without this file a product's tick still stands for all its orders, and the waiting page reloads itself.

const say = (box, words) => {
  if (box && box.textContent !== words) box.textContent = words;
};

for (const section of document.querySelectorAll('[data-product]')) {
  const all = section.querySelector('[data-all]');
  const boxes = [...section.querySelectorAll('input[name="order"]')];
  // Of a long list only a part is shown: ticking all of that is not yet ticking the product.
  const areAll = boxes.length === Number(section.dataset.orders);
  const mirror = () => {
    const ticked = boxes.filter((box) => box.checked).length;
    all.checked = areAll && ticked === boxes.length;
    all.indeterminate = ticked > 0 && ticked < boxes.length;
  };
  all.addEventListener('change', () => {
    for (const box of boxes) box.checked = all.checked;
    countTicked();
  });
  for (const box of boxes)
    box.addEventListener('change', () => {
      mirror();
      countTicked();
    });
  if (!all.checked) mirror();
}
function countTicked() {
  let many = 0;
  for (const section of document.querySelectorAll('[data-product]')) {
    const wholly = section.querySelector('[data-all]').checked;
    many += wholly
      ? Number(section.dataset.orders)
      : section.querySelectorAll('input[name="order"]:checked').length;
  }
  say(
    document.querySelector('[data-ticked]'),
    many === 0 ? 'Nothing is ticked yet.' : `${many} ${many === 1 ? 'order is' : 'orders are'} ticked.`,
  );
}
countTicked();

const waiting = document.querySelector('[data-progress]');
if (waiting) watch(waiting);

function watch(section) {
  const find = (name) => section.querySelector(`[data-${name}]`);
  const WIDE = 720;
  let most = 0;
  const draw = ({ bound, best }) => {
    most = Math.max(most, (best ?? 0) * 1.04, (bound ?? 0) * 1.12);
    if (most === 0) return;
    // The far end shows the last fifth before the bound, so that the two can be seen closing in.
    const low = (bound ?? 0) * 0.8;
    const x = (cost) => Math.max(0, Math.min(1, (cost - low) / (most - low))) * WIDE;
    const boundX = bound === null ? 0 : x(bound);
    const bestX = best === null ? WIDE : x(best);
    find('proved').setAttribute('width', boundX);
    find('open').setAttribute('x', boundX);
    find('open').setAttribute('width', Math.max(0, bestX - boundX));
    if (best !== null) find('best').setAttribute('d', `M${bestX} 20V54`);
    const number = (value) => value.toLocaleString('en-GB', { maximumFractionDigits: 2 });
    say(find('bound-text'), bound === null ? '' : `proved: at least ${number(bound)}`);
    say(find('best-text'), best === null ? '' : `best so far ${number(best)}`);
  };
  const source = new EventSource(section.dataset.progress);
  source.addEventListener('progress', (event) => {
    const news = JSON.parse(event.data);
    say(find('phase'), news.phase);
    say(find('costs'), news.costs);
    say(find('seconds'), news.seconds > 0 ? `${news.seconds} seconds so far.` : '');
    draw(news);
  });
  source.addEventListener('first', (event) => {
    say(find('first'), JSON.parse(event.data).words);
    find('first').hidden = false;
    document.querySelector('[data-finish]').disabled = false;
  });
  source.addEventListener('ended', () => {
    source.close();
    location.reload();
  });
}
