/**
 * Where several makers share a server: of which workshop this page is, sent along with all that is
 * written, so that nothing lands in another that was gone to in another window meanwhile.
 * @returns {Record<string, string>} a header, or none
 */
export function ofWorkshop() {
  const meta = /** @type {HTMLMetaElement | null} */ (document.querySelector('meta[name="workshop"]'));
  return meta ? { 'X-Workshop': meta.content } : {};
}
