import type { ReportFormat } from '../../stores/take-home-store.ts';

export const REPORT_TYPES: Readonly<Record<ReportFormat, string>> = {
  html: 'text/html',
  md: 'text/markdown',
  json: 'application/json',
};

/** A text as bytes, made when they are asked for. */
export function textStream(make: () => Promise<string>): ReadableStream<Uint8Array> {
  return new ReadableStream<Uint8Array>({
    async pull(controller) {
      controller.enqueue(new TextEncoder().encode(await make()));
      controller.close();
    },
  });
}
