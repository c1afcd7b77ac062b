/** Pages that stand for themselves, without script and without any text from outside. */
const page = (title: string, body: string): string => `<!doctype html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>
:root { color-scheme: light dark; font: 16px/1.5 system-ui, sans-serif; }
body { max-width: 34rem; margin: 15vh auto; padding: 0 1rem; }
input, button { font: inherit; min-height: 2.25rem; padding: 0 0.6rem; }
</style>
</head>
<body>
<main>
<h1>${title}</h1>
${body}
</main>
</body>
</html>
`;

export const openedWithoutToken = page(
  'Tautline workbench',
  '<p>This address was opened without its session token. Open the address that <code>tautline serve</code> printed in its terminal; it ends in <code>?token=…</code>.</p>',
);

export type LoginState = 'first' | 'wrong' | 'too-many';

const loginWords: Readonly<Record<LoginState, string>> = {
  first: '',
  wrong: '<p role="alert">This is not the password. Try again.</p>',
  'too-many': '<p role="alert">Too many tries from this address. Wait a minute, then try again.</p>',
};

export const loginPage = (state: LoginState): string =>
  page(
    'Tautline workbench',
    `${loginWords[state]}<form method="post" action="/login">
<p><label for="password">Password</label><br>
<input id="password" name="password" type="password" autocomplete="current-password" required autofocus></p>
<p><button type="submit">Log in</button></p>
</form>`,
  );

export const notBuilt = page(
  'Tautline workbench',
  '<p>The server runs, but the workbench is not built. Build it with <code>npm start</code>, or <code>node scripts/setup.mjs</code>, in the folder of the program, then load this page again.</p>',
);
