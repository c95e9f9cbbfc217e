// One page: a view rendered into the layout, with the header links that say where the reader is.
// The header has three doors by what a person came to do, then the things they work on, then
// a list of the other tables that opens.
import type { Request, Response } from 'express';

interface Link {
  href: string;
  label: string;
}

const DOORS: Link[] = [
  { href: '/plans', label: 'Plan the slitting' },
  { href: '/buy', label: 'Buy the film' },
  { href: '/answer', label: 'Answer a customer' },
];
const THINGS: Link[] = [
  { href: '/rolls', label: 'Rolls' },
  { href: '/orders', label: 'Orders' },
  { href: '/receive', label: 'Receive' },
  { href: '/coat', label: 'Coat' },
  { href: '/machine', label: 'At the machine' },
  { href: '/dispatch', label: 'Dispatch' },
  { href: '/yield', label: 'Yield' },
];
const REST: Link[] = [
  { href: '/products', label: 'Products' },
  { href: '/grades', label: 'Film' },
  { href: '/offers', label: 'Offers' },
  { href: '/purchase-orders', label: 'Purchase orders' },
  { href: '/suppliers', label: 'Suppliers' },
  { href: '/slitters', label: 'Slitters' },
  { href: '/customers', label: 'Customers' },
  { href: '/forecasts', label: 'Forecasts' },
  { href: '/rates', label: 'Exchange rates' },
  { href: '/fillers', label: 'Catalogue widths' },
];

const isHere = (href: string, path: string): boolean => path === href || path.startsWith(`${href}/`);
const marked = (links: Link[], path: string) => links.map((l) => ({ ...l, current: isHere(l.href, path) }));

interface PageModel {
  /** The heading of the browser tab; the view writes its own h1. */
  title: string;
  /** Module scripts in views/assets, for the few pages with live parts. */
  scripts?: string[];
  /** Which header link is marked, where the path alone does not say it. */
  under?: string;
  [name: string]: unknown;
}

/** Renders `view` with `model` inside the layout; `token` for forms is always there. */
export function showPage(req: Request, res: Response, view: string, model: PageModel, status = 200): void {
  const here = model.under ?? req.path;
  const shared = { token: res.locals.token ?? '', scripts: [], ...model, here };
  res.status(status).render(view, shared, (error, body) => {
    // Rendering calls back later: an error thrown here would end the process instead of this request.
    if (error) return void req.next?.(error);
    const links = { doors: marked(DOORS, here), things: marked(THINGS, here), rest: marked(REST, here) };
    res.render('layout', { ...shared, ...links, body });
  });
}
