/** Names that the build puts in; they exist in the built files only, never in a test. */

/** Addresses of what the page and the worker fetch. */
declare const __BUILD__: {
  readonly coreUrl: string;
  readonly coreSha256: string;
  readonly workerUrl: string;
  readonly wasmUrl: string;
  readonly readerUrl: string;
};

/** What the service worker keeps on the phone. */
declare const __PRECACHE__: {
  readonly version: string;
  readonly entries: readonly { readonly url: string; readonly sha256: string; readonly bytes: number }[];
};
