// What a request's cookies say. A browser may send one name twice, from several paths.
import type { Request } from 'express';

/** Values of the cookies of this name, as they were sent. */
export function cookiesOf(req: Request, name: string): string[] {
  return (req.headers.cookie ?? '').split(';').flatMap((part) => {
    const [cookie, value = ''] = part.trim().split('=');
    return cookie === name ? [value] : [];
  });
}
