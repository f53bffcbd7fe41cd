import { html, nothing } from 'lit';
import { type LinkMember, linkOf, type SessionDocument } from '../../session/document.ts';
import { icons } from '../icons/icons.ts';
import { partners, partnerWords } from './linkable.ts';

/** Whom a drive moves with, as a small button; nothing for a drive on its own. */
export function linkSign(document: SessionDocument | undefined, member: LinkMember, change: () => void) {
  const link = document && linkOf(document, member);
  if (!document || !link) return nothing;
  const others = partners(document, member);
  const how = link.mode === 'relative' ? 'by the same dB as' : 'to the same value as';
  const all = others.map(({ rack, stage }) => `${rack} ${stage}`).join(', ') || 'a stage of a scene';
  return html`<button class="quiet linked" title=${`Moves ${how} ${all}`} @click=${change}>
    ${icons.link}<span class="hidden">Drive linked: moves ${how} ${all}. Change the link.</span
    ><span class="with" aria-hidden="true">${link.mode === 'relative' ? 'with' : '='} ${partnerWords(others) || all}</span>
  </button>`;
}
