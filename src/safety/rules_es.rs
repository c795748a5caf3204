//! What would happen at the machine, in Spanish: an apprentice is told it when a move is stopped. The match has no arm for
//! the rest, so that a new rule is not forgotten here.

use super::rules::SafetyRule;
use crate::diag::Lang;

impl SafetyRule {
    /// What would happen at the machine, in a language.
    #[must_use]
    pub fn at_machine_in(self, lang: &Lang) -> &'static str {
        if lang.code() == "es" { self.at_machine_es() } else { self.at_machine() }
    }

    #[rustfmt::skip]
    #[allow(clippy::too_many_lines, reason = "a table, one line a rule")]
    const fn at_machine_es(self) -> &'static str {
        match self {
            Self::NoZone => "Quien lo siga puede estar debajo de algo que nada sostiene.",
            Self::WrongZone => "El cuerpo estará donde está la pieza, diga lo que diga el paso.",
            Self::ZoneNeed | Self::GateNeed => "Quien lo escribió sabe lo que se mueve o cae allí.",
            Self::SeatCabUp => "No hay asiento donde sentarse, o baja con quien sube.",
            Self::EngineBayRunning => "Ventilador y correas atrapan una manga, un cable o una mano.",
            Self::EngineRunningLeads => "La mano con la punta pasa junto al ventilador.",
            Self::UnderCabFixed => "En esta máquina no hay lugar debajo de la cabina.",
            Self::UnderCabNotSupported => "Una cabina sin sostén cae sobre cabeza y manos.",
            Self::UnderCabArmsRaised => "Los brazos bajan sobre quien se inclina dentro.",
            Self::UnderCabRunning => "Ejes y correas giran donde están las manos.",
            Self::UnderArmsNotParked | Self::UnderMachineNotParked => "Rueda sobre quien está debajo.",
            Self::UnderArmsNotSupported => "Brazos sostenidos solo por aceite bajan sin aviso.",
            Self::UnderArmsPower => "Una válvula que se abre deja caer o levanta lo que está encima.",
            Self::UnderMachineNoStands => "Una máquina sobre un gato o sobre su propia hidráulica se viene abajo.",
            Self::UnderMachineArmsRaised => "Cuando caen, la máquina se corre en sus soportes.",
            Self::UnderMachinePower => "Orugas y ventiladores arrancan encima de la cara.",
            Self::UnplugLive => "El controlador ve una falla que no había, una válvula se mueve, un pin se quema.",
            Self::UndoFeedLive => "Detrás está la batería entera: quema manos y ojos.",
            Self::CutLive | Self::RepairNotIsolated => "El alicate pone la batería en corto, o alguien arranca la máquina mientras tanto.",
            Self::StillLive => "El bloqueo está puesto y el cable quema igual.",
            Self::OhmsOnLive => "El medidor muestra disparates o quema su fusible, y se cambia la pieza que no es.",
            Self::CanOhmsFed => "Un controlador alimentado excita el par y los ohmios no dicen nada.",
            Self::DeadMeter => "Allí una lectura muerta no dice nada, y se toma por una falla.",
            Self::FeedCurrentInLine => "El medidor o sus puntas se queman en la mano.",
            Self::HydraulicsPressurised => "El aceite a 200 bar atraviesa un guante; cae la pieza que sostenía.",
            Self::HydraulicsArmsRaised => "El aceite que se deja salir los sostenía.",
            Self::HydraulicsPower => "Se abre una válvula piloto o arranca la bomba detrás de la unión abierta.",
            Self::LeakByHand => "Un chorro demasiado fino para verlo entra en la mano; eso es caso de hospital.",
            Self::FitLeadsLive => "La punta hace corto, o se la lleva el ventilador.",
            Self::BridgeLive => "Lo que suelta se mueve al instante, con la mano todavía allí.",
            Self::BridgeLeft | Self::CloseBridged => "El próximo conductor confía en un enclavamiento que no está.",
            Self::TieImpossible => "Lo que no sujeta se suelta cuando hace falta.",
            Self::TieCabUp => "Nadie lo alcanza, o alguien sube por donde baja la cabina.",
            Self::ControlOutOfReach => "Nadie puede sujetarlo con la cabina volcada; alguien lo intenta.",
            Self::SetupContradicts => "El paso dice una cosa y la máquina está en otro estado; dar arranque es marcha.",
            Self::WatchPower => "No puede funcionar, y eso se toma por la falla; o se arranca el motor de paso.",
            Self::WatchCabUp => "Lo que se mueve se lleva la cabina.",
            Self::WatchNotWhole => "Se mueve cuando no debe, o salpica donde está abierto.",
            Self::WatchLockedOut => "Alguien cuenta con ese bloqueo.",
            Self::WatchNotParked => "Se va rodando mientras todos miran los brazos.",
            Self::WatchFromDanger => "Se mueve mientras alguien está a su alcance.",
            Self::MovingSetup => "La lectura misma hace que se muevan los brazos.",
            Self::HeatEarly => "Se prende fuego el combustible, el aceite o el gas de la batería.",
            Self::HighVoltage => "Mata al primer contacto.",
            Self::PhoneHandsOn => "Allí no hay nadie que sepa lo que puede caer.",
            Self::NameUnknown => "De lo que no se sigue no se puede mostrar que está quitado.",
            Self::CloseNotLeft => "La máquina queda como nadie dijo, y alguien sube.",
            Self::CloseCabUp => "El próximo se va con ella así, o cae.",
            Self::CloseNotWhole => "La máquina vuelve al trabajo sin lo que protege a su conductor.",
            Self::CloseLocked => "Nadie puede ponerla en marcha, o alguien corta el candado.",
            Self::CloseLeadsOn => "El cable del medidor se mete en el ventilador.",
            Self::CloseNotFound => "Nadie sabe qué fallaba, y vuelve.",
            Self::CloseNotRepaired => "La falla sigue allí.",
            Self::CloseNotProved => "Nunca se vio funcionar la función, o nunca se vio que su enclavamiento la retiene.",
            Self::InterlockNotShown => "Al próximo conductor lo aplasta lo que debía estar retenido.",
            Self::ReferNotLeft => "Queda con la cabina arriba y la llave puesta, y alguien se acerca.",
            Self::GateNotParked => "Rueda mientras se la asegura.",
            Self::GateArmsRaised => "Los brazos bajan sobre quien lo hace.",
            Self::GateCabNotHeld => "La cabina baja sobre quien lo hace.",
            Self::GateCabNotDown => "Se hace desde el asiento, y no lo hay.",
            Self::GateCabFixed => "No hay nada que vuelque.",
            Self::GatePower => "Arranca, se mueve o quema mientras se hace el control.",
            Self::GateNotWhole => "Al primero que arranca le pega lo que quedó.",
            Self::GatePlugApart => "Lo que alimenta falla, o funciona cuando no debe.",
            Self::GateBridgeOn => "El enclavamiento que está detrás no retiene nada.",
            Self::GateTied => "La máquina cree que hay alguien sentado allí.",
            Self::GateNotStuck => "Es para una máquina que no se puede asegurar; cualquier otra se asegura.",
            Self::GateRunning => "Se perdería al instante.",
            Self::StartNotParked => "Se va rodando con el motor en marcha.",
            Self::StartCabUp => "Quien la arranca está de pie junto a una máquina en marcha.",
            Self::StartNotWhole => "Arranca sin lo que debía retenerla.",
            Self::StartLockedOut => "Alguien cuenta con ese bloqueo y tiene las manos en la máquina.",
        }
    }
}
