// What the page scripts share and the browser's own types do not say. Read by tsc only; never sent to a browser.
export {};
