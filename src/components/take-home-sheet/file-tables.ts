import { html, nothing, type TemplateResult } from 'lit';
import type { ExpectedExport, WrittenFile } from '../../stores/take-home-store.ts';
import { figure, figureText } from '../format/figures.ts';

/** What will be written. */
export function expectedTable({ files, bytes, atMost }: ExpectedExport): TemplateResult {
  const upTo = atMost ? 'up to ' : '';
  const sizeOf = (size: number | null) =>
    size === null ? figureText(null, { digits: 0 }, 'Its size is known at the end') : html`${upTo}${sizeText(size)}`;
  return html`<table>
    <caption class="hidden">
      Files that will be written
    </caption>
    <thead>
      <tr>
        <th scope="col">File</th>
        <th scope="col"><span class="hidden">Channels</span></th>
        <th scope="col">Size</th>
      </tr>
    </thead>
    <tbody>
      ${files.map(
        ({ name, kind, channels, bytes: size }) => html`<tr>
          <th scope="row">${mark(kind)}${name}</th>
          <td class="shape">${shapeText(channels)}</td>
          <td>${sizeOf(size)}</td>
        </tr>`,
      )}
    </tbody>
    <tfoot>
      <tr>
        <th scope="row">${files.length === 1 ? '1 file' : `${files.length} files`}</th>
        <td></td>
        <td>${bytes > 0 ? html`${upTo}${sizeText(bytes)}` : nothing}</td>
      </tr>
    </tfoot>
  </table>`;
}

/** What was written, with what should be known of each file. */
export function writtenTable(files: readonly WrittenFile[]): TemplateResult {
  return html`<table>
    <caption class="hidden">
      Files that were written
    </caption>
    <thead>
      <tr>
        <th scope="col">File</th>
        <th scope="col"><span class="hidden">Channels</span></th>
        <th scope="col">Size</th>
        <th scope="col">True peak <small>dBTP</small></th>
        <th scope="col">Overs</th>
      </tr>
    </thead>
    <tbody>
      ${files.map(
        ({ name, kind, channels, bytes, overs, truePeakDbtp }) => html`<tr class=${overs > 0 ? 'over' : ''}>
          <th scope="row">${mark(kind)}${name}</th>
          <td class="shape">${shapeText(channels)}</td>
          <td>${sizeText(bytes)}</td>
          <td>${kind === 'report' ? nothing : figureText(truePeakDbtp, { digits: 1 }, 'It is silent')}</td>
          <td>${kind === 'report' ? nothing : figure(overs, { digits: 0 })}</td>
        </tr>`,
      )}
    </tbody>
  </table>`;
}

function shapeText(channels: WrittenFile['channels']): string {
  return channels === null ? '' : channels === 1 ? 'mono' : 'stereo';
}

/** The line of its side, beside the name. */
function mark(kind: WrittenFile['kind']) {
  return html`<i class="line ${kind === 'clean' ? 'clean' : kind === 'report' ? 'none' : 'coloured'}"></i>`;
}

/** A file's size as file managers count: "412 kB", "41.5 MB", "2.10 GB". */
export function sizeText(bytes: number): string {
  if (bytes < 999_500) return `${Math.max(1, Math.round(bytes / 1e3))} kB`;
  return bytes < 999_950_000 ? `${(bytes / 1e6).toFixed(1)} MB` : `${(bytes / 1e9).toFixed(2)} GB`;
}
