/** Hands a text to the person at the screen as a file. */
export function saveText(name: string, type: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: `${type};charset=utf-8` }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // the browser has taken it up by then
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
