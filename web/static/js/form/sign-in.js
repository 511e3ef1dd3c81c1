/** Signing in again where a session has ended, in a tab of its own: what was typed or picked stays here. */
export const SIGN_IN = '/sign-in';

/**
 * @param {number} status of the answer
 * @returns {{label: string, run: () => void} | undefined} the way in, where signing in is what is missing
 */
export function signInElsewhere(status) {
  if (status !== 401 || location.pathname === SIGN_IN) return undefined;
  return { label: 'Sign in, in another tab', run: () => void open(SIGN_IN) };
}
